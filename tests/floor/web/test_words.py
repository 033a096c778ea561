"""The words of the pages: each in every language there is, and none left over."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest
from babel.messages.extract import extract

import floor.web.pages
from floor.state import PieceState
from floor.wall import alarms, signs
from floor.wall.signs import Sign
from floor.web.pages import station
from floor.web.pages.jobs import NOT_SURE
from floor.web.pages.site import SAID
from floor.web.words import FOLDER, LANGUAGES, Words, catalog
from shared.money import ELEMENTS

TEMPLATES = Path(floor.web.pages.__file__).parent.parent / "templates"
CODE = Path(floor.web.pages.__file__).parent
OTHERS = [language for language in LANGUAGES if language != "en"]
STATES = {*get_args(PieceState), "held"}
OF_ELEMENTS = {element.replace("_", " ") for element in (*ELEMENTS, "total")}


def in_templates() -> Iterator[str]:
    for file in TEMPLATES.glob("*.html"):
        with file.open("rb") as opened:
            for _, said, _, _ in extract("jinja2.ext:babel_extract", opened):
                yield str(said)


def of_signs() -> Iterator[str]:
    values = [
        *vars(signs).values(),
        *vars(alarms).values(),
        *signs.ALARMS.values(),
        *vars(station).values(),
        *station.OUTCOMES.values(),
    ]
    return (value.word for value in values if isinstance(value, Sign))


def of_refusals() -> Iterator[str]:
    """What the pages refuse with: the first argument of not_found, and what and do of a Refusal."""
    for file in (*CODE.glob("*.py"), CODE.parent / "refusals.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                said = {"not_found": node.args[:1], "_not_now": node.args[:1]}.get(node.func.id, [])
                if node.func.id == "Refusal":
                    said = [each.value for each in node.keywords if each.arg in {"what", "do"}]
                yield from (str(each.value) for each in said if isinstance(each, ast.Constant))


def all_words() -> set[str]:
    of_errors = {words for both in SAID.values() for words in both}
    return {NOT_SURE, *in_templates(), *of_signs(), *of_refusals(), *of_errors, *STATES, *OF_ELEMENTS}


def test_there_is_another_language_than_english() -> None:
    assert "de" in OTHERS


@pytest.mark.parametrize("language", OTHERS)
def test_every_word_is_translated_and_none_is_left_over(language: str) -> None:
    translated = {str(each.id) for each in catalog(language) if each.id and each.string and not each.fuzzy}
    assert all_words() - translated == set(), "not translated"
    assert translated - all_words() == set(), "left over"


@pytest.mark.parametrize("language", OTHERS)
def test_a_sign_that_is_another_in_english_is_another_in_every_language(language: str) -> None:
    words = set(of_signs())
    assert len({Words(language).say(word) for word in words}) == len(words)


@pytest.mark.parametrize("language", ["en", "fr", "", "../de", "DE"])
def test_a_language_that_is_not_there_is_english(language: str) -> None:
    words = Words(language)
    assert words.language == "en"
    assert words.say("Jobs") == "Jobs"


def test_a_word_without_a_translation_stays_english() -> None:
    assert Words("de").say("no such word") == "no such word"


def test_a_file_has_the_language_of_its_name() -> None:
    for language in OTHERS:
        assert f'"Language: {language}\\n"' in (FOLDER / f"{language}.po").read_text(encoding="utf-8")
