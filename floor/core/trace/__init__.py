"""One piece's story, its siblings, and lots."""
