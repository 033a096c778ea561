"""When which piece was worked on, and for how long."""
