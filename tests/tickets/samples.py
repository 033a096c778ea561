"""Tickets for the tests: an ordinary dark garment, and whatever may stand on a ticket at the worst."""

from decimal import Decimal
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from shared.codes import CodeType, make
from shared.route import Step, StepKind, Uses
from tickets.traveller import Placed, Ticket


def step(key: str, kind: StepKind = "hand", **more: Any) -> Step:
    """A step that is scanned as its kind is."""
    scans: Any = "in_out" if kind == "dwell" else "out"
    return Step(key=key, event=f"{key} done", kind=kind, scans=scans, if_missed="stop", **more)


DARK = (
    step("pretreat", uses=Uses(pretreat_g=Decimal(24)), settings={"platen": "adult"}),
    step("underlayer", "machine", settings={"passes": "2"}),
    step("inspect"),
    step("colour", "machine", settings={"passes": "1", "platen": "adult"}),
    step("cure", "dwell", min_s=180, settings={"temperature_c": "165", "cover": "parchment"}),
    step("pack"),
)
LIGHT = DARK[3:]
TWO_SIDES = (*(replace(s, place=place) for place in ("front", "back") for s in DARK[:5]), DARK[5], step("label"))
"""Twelve steps."""
ENDLESS = tuple(replace(DARK[n % 6], place=f"place {n}") for n in range(40))

LONG = "The International Association of Extraordinarily Long Names for Rowing Clubs and Friends of Harbours e.V."
ONE_WORD = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft" * 2


def ticket(serial: int = 1, artwork: Path | None = None, **more: Any) -> Ticket:
    """An ordinary ticket, with what is said otherwise; with a picture it has one print."""
    usual = {
        "code": make(CodeType.PIECE, serial),
        "job": "J0001",
        "customer": "Harbour rowing club",
        "due": "Wed 2 Dec 2026, 16:00",
        "item": "heavy tee",
        "colour": "navy",
        "shade": "dark",
        "size": "2XL",
        "number": 3,
        "of": 26,
        "design": "oars",
        "steps": DARK,
        "prints": (Placed(place="front", artwork=artwork),) if artwork else (),
        "shop": "Kittiwake Print Room",
    }
    return Ticket(**{**usual, **more})


def named(serial: int, text: str, **more: Any) -> Ticket:
    """A ticket with the same text wherever there is room for words."""
    words = dict.fromkeys(("job", "customer", "due", "item", "colour", "size", "design", "shop"), text)
    return ticket(serial, **{**words, **more})


SCRIPTS = {
    "Cyrillic": "Тёмно-синий Гребной клуб «Чайка» Щербинка",
    "Greek": "Ναυτικός Όμιλος Ελλήνων Ψαράδων ΐΰ",
    "Vietnamese": "Câu lạc bộ chèo thuyền Ệ Ữ Ẩm thực",
    "Armenian": "Նավավարների ակումբ",
    "Georgian": "ნიჩბოსნობის კლუბი",
    "Hebrew": "מועדון חתירה (2026) נמל",
    "Arabic": "نادي التجديف في الميناء (2026)",
    "Japanese": "株式会社 港ボートクラブ 夏の大会二〇二六年記念オリジナルTシャツ",
    "Chinese": "港口划船俱樂部夏季比賽紀念衫",
    "Korean": "항구 조정 클럽 여름 대회",
}


def hard_tickets(picture: Path) -> list[Ticket]:
    """Everything that a ticket must bear: long and strange names, long routes, remakes, pictures and none."""
    return [
        ticket(1, artwork=picture),
        ticket(2, shade="light", size="M", colour="heather forest green", steps=LIGHT, artwork=picture, of=148),
        ticket(3, steps=TWO_SIDES, remake_of=make(CodeType.PIECE, 77), number=148, of=148, artwork=picture),
        named(4, LONG, remake_of=make(CodeType.PIECE, 78), steps=TWO_SIDES),
        named(5, ONE_WORD, shade="light", artwork=picture),
        ticket(6, steps=LIGHT, shade="light", item="tile", colour="white gloss", size="108 × 108 mm"),
        ticket(10**14, steps=ENDLESS, artwork=Path("no such picture.png")),
        ticket(7, steps=(), customer="", size="", item="", colour="", design="", shop="", shade=""),
        ticket(8, number=10**6, of=10**6, design="oars \U0001f600 \x1b[31m\x00\u202egnp.live"),
        *(named(20 + n, text) for n, text in enumerate(SCRIPTS.values())),
    ]
