"""The week, reviewed: one set of data, and the ways to show it."""
