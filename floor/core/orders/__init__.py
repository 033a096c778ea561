"""Jobs that are taken and changed, and goods that come in."""
