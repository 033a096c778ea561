"""Words and figures set in columns."""
