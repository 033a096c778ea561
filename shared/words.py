"""What we say in the shop's language, from translation files; English where a sentence has none.

Never translates what people wrote, nor what is in the ledger already: that stays as it was said.
"""

from functools import cache
from importlib.resources import files

FOLDER = files("shared") / "languages"
LANGUAGES = ("en", *sorted(file.name.removesuffix(".po") for file in FOLDER.iterdir()))


class Words:
    """What is said in one language."""

    def __init__(self, language: str) -> None:
        self.language = language if language in LANGUAGES else "en"
        self._sentences = sentences(self.language)

    def say(self, text: str, **values: object) -> str:
        """A text of ours in that language, each {name} in it filled in."""
        said = self._sentences.get(text) or text
        return said.format(**values) if values else said


@cache
def sentences(language: str) -> dict[str, str]:
    """By what it is in English: every text of a translation file that is done. English itself needs none."""
    if language == "en":
        return {}
    from babel.messages.pofile import read_po

    with FOLDER.joinpath(f"{language}.po").open("rb") as file:
        catalog = read_po(file, language)
    return {str(each.id): str(each.string) for each in catalog if each.id and each.string and not each.fuzzy}


ENGLISH = Words("en")
