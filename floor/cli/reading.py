"""Text files that a person names to a command.

Never reads more than text: what it means is for the command.
"""

import sys
from pathlib import Path

from floor.cli.trouble import NotDone


def text_of(file: str) -> tuple[str, str]:
    """What is in a file, "-" is standard input; and how to name it to people. Raises NotDone."""
    name = "standard input" if file == "-" else Path(file).name
    try:
        data = sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
        return data.decode("utf-8-sig"), name
    except OSError as error:
        raise NotDone(f"{file} cannot be read: {error.strerror}", do="Check the name and the folder.") from None
    except UnicodeDecodeError:
        raise NotDone(f"{name} is not text in UTF-8", do="Save it again, as CSV with the encoding UTF-8.") from None
