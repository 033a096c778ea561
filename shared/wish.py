"""What was asked for at the desk and cannot be: a job that is closed, a lot of no blank.

Never is a mistake in a file: that is a problem.
"""


class NotPossible(Exception):
    """What was asked cannot be done; the text says why, and what to do."""
