"""The words of the pages in the shop's language, from translation files; English where a word has none.

Never translates what people wrote, nor what is in the ledger.
"""

from functools import cache
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po

FOLDER = Path(__file__).with_name("languages")
LANGUAGES = ("en", *sorted(file.stem for file in FOLDER.glob("*.po")))


class Words:
    """What is said in one language."""

    def __init__(self, language: str) -> None:
        self.language = language if language in LANGUAGES else "en"
        self._catalog = catalog(self.language)

    def say(self, text: str) -> str:
        """A text of ours in that language."""
        found = self._catalog.get(text)
        return str(found.string) if found and found.string else text


@cache
def catalog(language: str) -> Catalog:
    """The translation file of a language; English needs none."""
    if language == "en":
        return Catalog("en")
    with (FOLDER / f"{language}.po").open("rb") as file:
        return read_po(file, language)
