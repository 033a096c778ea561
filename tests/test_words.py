"""What we say in the shop's language: each sentence in every language there is, and none left over."""

import ast
from collections.abc import Iterator
from pathlib import Path
from string import Formatter
from typing import TypeVar, get_args

import pytest
from babel.messages.extract import extract

import floor.web.pages
import shared.codes
from floor.core.cost import cause
from floor.core.figures.headline import ELEMENT_WORDS
from floor.core.figures.job_columns import JOB_COLUMNS
from floor.core.state.piece import PieceState
from floor.core.times.cures import MARKS
from floor.doors.shop_change import CHANGED, UNSOUND
from floor.papers.cure_record import ASKED
from floor.papers.travellers import NOTES
from floor.wall import alarms, signs
from floor.wall.signs import Sign
from floor.web.pages import station
from floor.web.pages.jobs import NOT_SURE
from floor.web.pages.site import SAID
from shared.events.supplies import Material
from shared.files.cards import COMMANDS
from shared.files.shop import parse_shop
from shared.files.tables import Shade
from shared.money import ELEMENTS
from shared.wording import spaced
from shared.words import FOLDER, LANGUAGES, Words, sentences
from tests.floor.core.plan.pressing import look
from tests.making import Play, shop_data
from tickets.cards import CardKind
from tickets.settings import setting_words

PAGES = Path(floor.web.pages.__file__).parent
TEMPLATES = PAGES.parent / "templates"
ROOT = Path(shared.codes.__file__).parent.parent
SPEAKING = ("floor/core", "floor/papers", "floor/reports", "floor/wall", "floor/web/pages", "tickets", "shared")
"""The rooms in which people are spoken to in the shop's language; the commands speak English."""
SAYING = [file for room in SPEAKING for file in sorted((ROOT / room).rglob("*.py"))]
OTHERS = [language for language in LANGUAGES if language != "en"]
Node = TypeVar("Node", bound=ast.AST)
STATES = {*get_args(PieceState), "held"}
ON_CARDS = {*get_args(CardKind), *NOTES.values(), *COMMANDS, *COMMANDS.values()}
ON_TICKETS = set(get_args(Shade))
OF_A_CURE = {*ASKED, *MARKS, *map(spaced, get_args(Material))}
OF_CAUSES = {text for name, text in vars(cause).items() if name.isupper() and isinstance(text, str)}
OF_ELEMENTS = {*ELEMENT_WORDS.values()} | {element.replace("_", " ") for element in (*ELEMENTS, "total")}


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
        *station.LOOKS.values(),
    ]
    return (value.word for value in values if isinstance(value, Sign))


def of_refusals() -> Iterator[str]:
    """What the pages refuse with: the first argument of not_found, and what and do of a Refusal."""
    for file in (*PAGES.glob("*.py"), ROOT / "floor/doors/refusals.py"):
        for node in nodes(file):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                said = {"not_found": node.args[:1], "_not_now": node.args[:1]}.get(node.func.id, [])
                if node.func.id == "Refusal":
                    said = [each.value for each in node.keywords if each.arg in {"what", "do"}]
                yield from (str(each.value) for each in said if isinstance(each, ast.Constant))


def said_in_code() -> Iterator[str]:
    """The texts that are handed to `say`, to `BadCode` or as a `tab`, by themselves or by the name of a variable."""
    for file in SAYING:
        for function in (node for node in nodes(file) if isinstance(node, ast.FunctionDef)):
            named = dict(named_texts(function))
            for call in nodes_of(function, ast.Call):
                yield from (tab for key in call.keywords if key.arg == "tab" for tab in constants(key.value) if tab)
                if called(call) in {"say", "BadCode"} and call.args:
                    [text, *_] = call.args
                    yield from constants(named.get(text.id, text) if isinstance(text, ast.Name) else text)


def called(call: ast.Call) -> str | None:
    if isinstance(call.func, ast.Attribute):
        return call.func.attr
    return call.func.id if isinstance(call.func, ast.Name) else None


class Heard(Words):
    """Remembers what it was asked to say."""

    def __init__(self) -> None:
        super().__init__("en")
        self.texts: set[str] = set()

    def say(self, text: str, **values: object) -> str:
        self.texts.add(text)
        return super().say(text, **values)


def of_settings() -> set[str]:
    """The names of the settings that a new shop file has."""
    heard, data = Heard(), shop_data()
    routed = [step for route in data["routes"].values() for step in route if isinstance(step, dict)]
    for step in (*data["steps"].values(), *routed):
        for key, value in step.get("settings", {}).items():
            setting_words(key, str(value), heard)
    return heard.texts


def named_texts(function: ast.FunctionDef) -> Iterator[tuple[str, ast.AST]]:
    for each in nodes_of(function, ast.Assign):
        match each.targets:
            case [ast.Name(id=name)]:
                yield name, each.value


def nodes(file: Path) -> Iterator[ast.AST]:
    return ast.walk(ast.parse(file.read_text(encoding="utf-8")))


def nodes_of(node: ast.AST, kind: type[Node]) -> Iterator[Node]:
    return (each for each in ast.walk(node) if isinstance(each, kind))


def constants(node: ast.AST) -> Iterator[str]:
    return (each.value for each in nodes_of(node, ast.Constant) if isinstance(each.value, str))


def all_words() -> set[str]:
    of_errors = {words for both in SAID.values() for words in both}
    named = {NOT_SURE, CHANGED, UNSOUND}
    in_code = {*named, *of_signs(), *of_refusals(), *said_in_code(), *of_errors, *STATES, *OF_ELEMENTS}
    of_jobs = {column.heading for column in JOB_COLUMNS}
    on_paper = {*of_jobs, *ON_CARDS, *ON_TICKETS, *OF_A_CURE, *OF_CAUSES, *of_settings()}
    return {*in_templates(), *in_code, *on_paper}


def test_there_is_another_language_than_english() -> None:
    assert "de" in OTHERS


@pytest.mark.parametrize("language", OTHERS)
def test_every_word_is_translated_and_none_is_left_over(language: str) -> None:
    translated = set(sentences(language))
    assert all_words() - translated == set(), "not translated"
    assert translated - all_words() == set(), "left over"


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_fills_in_what_the_sentence_does(language: str) -> None:
    def names(text: str) -> set[str | None]:
        return {name for _, name, _, _ in Formatter().parse(text) if name is not None}

    for text, said in sentences(language).items():
        assert names(text) == names(said), text


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


@pytest.fixture
def german() -> Play:
    return Play(parse_shop(shop_data(shop={**shop_data()["shop"], "language": "de"})))


def test_what_a_scan_is_answered_is_in_the_shops_language(german: Play) -> None:
    [piece] = german.job()
    assert german.scan(piece, "packing").say == "Underlayer fehlt. Als Nächstes: underlayer an printer 1."
    assert german.scan(piece, "pretreat booth").say == "Pretreated. Als Nächstes: underlayer an printer 1."


def test_a_misread_is_told_in_the_shops_language(german: Play) -> None:
    assert german.scan("1000000162", "packing").say == "1000 0001 62 wurde falsch gelesen: Die Prüfziffern passen nicht"
    assert german.scan("oars", "packing").say == '"oars" ist kein Code: Ein Code hat nur Ziffern'
    assert german.scan("10000", "packing").say.startswith('"10000" hat 5 Ziffern: ')


def test_what_an_alarm_says_is_in_the_shops_language(german: Play) -> None:
    [piece] = german.job(colour="white")
    german.scan(piece, "printer 1")
    assert look(german, 1201) == ["wet too long"]
    assert german.floor.alarms["wet too long", piece].say == f"{piece} ist seit mehr als 20 min nass: jetzt pressen."


def test_braces_in_a_name_are_no_placeholder() -> None:
    assert Words("de").say("Done: {task}.", task="{0} {x}") == "Getan: {0} {x}."
