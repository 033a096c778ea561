"""An invented shop whose day is played through virtual scanners.

Never gives the floor a code that was not read from paper.
"""
