"""The week as data."""
