"""The week on paper: every figure is the report's, nothing is cut or printed over, and it can be found and read."""

import ctypes
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import cache
from io import BytesIO
from itertools import combinations
from typing import Any

import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from msgspec.structs import replace

from floor.core.figures.data import (
    HandsWeek,
    Headline,
    JobWeek,
    LateJob,
    MachineWeek,
    OverTime,
    SpoiledFor,
    StepWeek,
    WeekReport,
    WetWeek,
)
from floor.core.figures.week import week_report
from floor.core.times.cycle import Figures
from floor.core.times.use import HourUse
from floor.reports.pdf import write_pdf
from shared import wording
from shared.files.shop import parse_shop
from shared.money import ELEMENTS
from shared.words import LANGUAGES
from tests.floor.reports.test_sheets import a_week
from tests.floor.reports.test_terminal import EMPTY, QUOTED, REPORT, job_week
from tests.making import Play, shop_data, walk
from tickets.kit.box import MM

NAMES = [
    "Ruderverein Überlingen und Umgebung 1899 e. V., Abteilung Jugend und Nachwuchs 1",
    "漕艇部のロゴ" * 13,
    "W" * 80,
    "نادي التجديف الملكي " * 4,
    "Клуб гребцов " * 6,
    "מועדון חתירה " * 6,
]
MARGIN = 18 * MM
MONEY = re.compile(r"-?[\d,]*\d\.\d\d\b(?! h)")


def times(median: float) -> Figures:
    """Durations around a median, most of them shorter than twice that."""
    ends = {"p10": median / 3, "p25": median / 2, "p75": 1.5 * median, "p90": 2.5 * median}
    return Figures(n=1_204, median=median, mean=1.2 * median, derived=12, assumed=3, **ends)


def many_jobs(names: list[str]) -> list[JobWeek]:
    """Sixty jobs: some dear, some cheap, above and below their quotes."""
    found = []
    for n in range(60):
        quoted = [(amount * (n % 7 * 9 + 1) / 10).quantize(Decimal("0.01")) for amount in QUOTED]
        actual = [(amount * (80 + n * 7 % 60) / 100).quantize(Decimal("0.01")) for amount in quoted]
        abnormal = Decimal(n % 5) * Decimal("6.31")
        found.append(job_week(f"J{n + 1:04}", names[n % len(names)], quoted, actual, abnormal))
    return found


def added(jobs: list[JobWeek]) -> JobWeek:
    quoted, actual = (
        [sum((Decimal(getattr(job, which)[element]) for job in jobs), Decimal(0)) for element in ELEMENTS]
        for which in ("quoted", "actual")
    )
    abnormal = sum((job.abnormal_spoilage for job in jobs), Decimal(0))
    return replace(job_week("", "", quoted, actual, abnormal), finished=24 * len(jobs), spoiled=len(jobs))


def a_machine(station: str) -> MachineWeek:
    """Busy for half of each hour that the shop was open, from Monday to Friday."""
    starts = [REPORT.start + timedelta(hours=n) for n in range(24 * 7)]
    works = [at.weekday() < 5 and 13 <= at.hour < 22 for at in starts]
    hours = [HourUse(at, 3_600.0 * open, 1_800.0 * open) for at, open in zip(starts, works, strict=True)]
    return MachineWeek(
        station=station,
        busy_s=81_000,
        producing_s=75_600,
        delayed_s=5_400,
        busy_open_s=81_000,
        planned_open_s=162_000,
        down_open_s=5_400,
        allocation_efficiency=0.5,
        utilization_efficiency=0.9333,
        steps=620,
        derived=310,
        assumed=4,
        hours=hours,
    )


def late_job(job: JobWeek) -> LateJob:
    due = REPORT.start + timedelta(hours=40)
    finished = due + timedelta(hours=30) if job.spoiled else None
    return LateJob(job=job.job, customer=job.customer, due=due, finished=finished, late_s=108_000)


def too_long(press: str) -> OverTime:
    opened = REPORT.start + timedelta(hours=40)
    return OverTime(piece="1000000137", job="J0001", step="cure", press=press, opened=opened, held_s=4_080, least_s=180)


def some_hands(badge: str | None) -> HandsWeek:
    money = {"paid": Decimal(630), "absorbed": Decimal("439.20"), "unattributed": Decimal("190.80")}
    return HandsWeek(badge=badge, paid_s=126_000, absorbed_s=87_840, unattributed_s=38_160, not_signed_out=0, **money)


def full_week(names: list[str]) -> WeekReport:
    jobs = many_jobs(names)
    steps = {"pretreat": 45, "underlayer": 140, "inspect": 15, "colour": 130, "cure": 185, "pack": 0.5}
    return replace(
        REPORT,
        jobs=jobs,
        total=replace(added(jobs), causes={names[0]: Decimal("3000.05"), "setup": Decimal("-13.13")}),
        finished=1_440,
        spoiled=60,
        late_jobs=[job.job for job in jobs],
        steps={name: StepWeek(queuing_s=times(s * 300), processing_s=times(s)) for name, s in steps.items()},
        spoiled_by_reason=[
            SpoiledFor(reason=name, pieces=9 - n, cost=Decimal("84.10") - n) for n, name in enumerate(names)
        ],
        headlines=[
            Headline(at_stake=Decimal(9), say=f"J0001 lost 9.00 USD beyond the allowance to 3 pieces: mostly {name}.")
            for name in names[:4]
        ],
        cycle_time_s=times(8_000),
        cycle_time_working_s=times(7_000),
        wet=[WetWeek(limit_s=1_200, wet_s=times(500), within=[80, 205, 190, 211], over=7)],
        late=[late_job(job) for job in jobs[:40]],
        over_time=[too_long(name) for name in names[:3]],
        hands=[some_hands(name) for name in (*names[:2], None)],
        machines=[a_machine(name) for name in ("printer 1", "printer 2", *names[:2])],
        revision=2,
    )


def given_up_week() -> WeekReport:
    """A week in which work was given up."""
    [job] = REPORT.jobs
    lost = Decimal("3.02")
    job = replace(job, given_up=1, given_up_cost=lost, margin_made=job.margin_made - lost)
    return replace(REPORT, jobs=[job], total=replace(job, job="", customer=""))


def long_week() -> WeekReport:
    """A week with 53 in its year, from an ordinary walk."""
    play = Play()
    play.now = datetime(2026, 12, 30, 15, tzinfo=UTC)
    [piece] = play.job(due=play.now + timedelta(days=1))
    walk(play, piece)
    return week_report(play.floor, play.shop, "2026-W53", play.now + timedelta(days=30))


WEEKS = {
    "one job": lambda: REPORT,
    "a real week": a_week,
    "sixty jobs": lambda: full_week(["Harbour rowing club", "North school"]),
    "long names": lambda: full_week(NAMES),
    "work given up": given_up_week,
    "no work": lambda: EMPTY,
    "a week 53": long_week,
}
PAPERS = {"a4": (210, 297), "letter": (215.9, 279.4)}


@dataclass(frozen=True)
class Paper:
    """A report on paper, as an independent reader has it."""

    report: WeekReport
    pdf: bytes
    pages: list[Any]
    texts: list[str]

    @property
    def text(self) -> str:
        return "\n".join(self.texts)

    @property
    def document(self) -> Any:
        return self.pages[0].pdf

    def says(self, words: str) -> bool:
        """Whether words stand somewhere, however they are broken into lines."""
        return "".join(words.split()) in "".join(self.text.split())


@cache
def on_paper(week: str, paper: str = "a4", language: str = "en") -> Paper:
    return printed(WEEKS[week](), paper, language)


def printed(report: WeekReport, paper: str = "a4", language: str = "en") -> Paper:
    its_shop = {**shop_data()["shop"], "language": language}
    out = BytesIO()
    write_pdf(report, parse_shop(shop_data(shop=its_shop, quotation={"paper": paper})), out)
    pages = list(pypdfium2.PdfDocument(out.getvalue()))
    return Paper(report, out.getvalue(), pages, [page.get_textpage().get_text_bounded() for page in pages])


every_week = pytest.mark.parametrize("week", WEEKS)
every_paper = pytest.mark.parametrize("paper", PAPERS)
every_language = pytest.mark.parametrize("language", LANGUAGES)


# What it says


def money_of(job: JobWeek) -> Iterator[Decimal]:
    yield from (job.quoted["total"], job.actual["total"], job.variance_total)
    yield from (job.price, job.margin_quoted, job.margin_made, job.abnormal_spoilage)


def money_of_elements(job: JobWeek) -> Iterator[Decimal]:
    for element, why in job.variance.items():
        yield from (job.quoted[element], job.actual[element])
        yield from (why.price, why.quantity, why.price + why.quantity, -why.price - why.quantity)
    for part in ("price", "quantity"):
        yield sum((getattr(why, part) for why in job.variance.values()), Decimal(0))


def all_money(report: WeekReport) -> set[str]:
    amounts = [*money_of(report.total), *money_of_elements(report.total), -report.total.abnormal_spoilage]
    amounts += [amount for job in report.jobs for amount in money_of(job)]
    amounts += [each.cost for each in report.spoiled_by_reason]
    amounts += [*report.total.causes.values(), *(each.unattributed for each in report.hands)]
    amounts += [report.total.given_up_cost, -report.total.given_up_cost]
    return {wording.figure(amount, report.currency) for amount in amounts}


@every_week
def test_every_amount_on_paper_is_one_of_the_report(week: str) -> None:
    it = on_paper(week)
    said = {amount for headline in it.report.headlines for amount in MONEY.findall(headline.say)}
    without_axes = re.sub(r"^(cause|hands|reason|job) .*$", "", it.text, flags=re.MULTILINE)
    assert set(MONEY.findall(without_axes)) <= all_money(it.report) | said


@every_week
def test_every_amount_of_each_job_is_on_paper(week: str) -> None:
    it = on_paper(week)
    shown = set(MONEY.findall(it.text))
    for job in it.report.jobs:
        due = [amount for amount in money_of(job) if amount or amount is not job.abnormal_spoilage]
        assert {wording.figure(amount, it.report.currency) for amount in due} <= shown


@every_week
def test_the_page_that_answers_holds_all_headlines_and_the_few_figures(week: str) -> None:
    it = on_paper(week)
    first = "".join(it.texts[0].split())
    for headline in it.report.headlines:
        if headline.say.isascii():
            assert "".join(headline.say.split()) in first
    total = it.report.total
    for amount in (total.margin_made, total.actual["total"], total.price):
        assert wording.money(amount, "USD") in first
    assert f"{it.report.spoiled:,}spoiled,{it.report.open:,}open" in first


def test_a_job_stands_with_its_figures_in_one_row() -> None:
    assert re.search(
        r"J0001.*190\.59.*215\.14.*\+24\.55.*190\.59.*159\.73", on_paper("one job").text.replace("\n", " ")
    )


@pytest.mark.parametrize("week", ["one job", "work given up"])
def test_the_bridge_leads_from_the_margin_quoted_to_the_margin_made(week: str) -> None:
    it = on_paper(week)
    bridge = it.text[it.text.index("From margin quoted") : it.text.index("Cost by element")]
    found = [Decimal(amount) for amount in MONEY.findall(bridge)]
    assert found[0] == it.report.total.margin_quoted
    assert found[-1] == it.report.total.margin_made
    assert sum(found[:-1]) == found[-1]


def test_reasons_are_told_largest_first() -> None:
    it = on_paper("sixty jobs")
    places = [it.text.index(wording.figure(each.cost, "USD")) for each in it.report.spoiled_by_reason]
    assert places == sorted(places)


def test_times_are_told_with_what_they_stand_on() -> None:
    it = on_paper("one job")
    for shown in ("2 h 14", "4 h 29", "10 min 00 s", "20 min 00 s", "2 min 05 s", "nine in ten"):
        assert shown in it.text
    assert it.says("colour 48 12 3")


def test_wet_times_are_held_against_their_limit() -> None:
    it = on_paper("sixty jobs")
    assert it.says("limit 20 min 00 s 0 100 200 pieces")
    assert it.says("15 min 00 s to 20 min 00 s 211 over 20 min 00 s 7 Median")


def test_late_jobs_are_told_with_when_they_were_due_and_how_late() -> None:
    it = on_paper("sixty jobs")
    assert it.says("J0001 Harbour rowing club Tue 24 Nov 16:00 Wed 25 Nov 22:00 1 d 6 h")


def test_what_stayed_in_a_press_for_too_long_is_named() -> None:
    it = on_paper("sixty jobs")
    assert it.says("Too long in a press")
    assert it.says("1000 0001 37 J0001 Harbour rowing club Tue 24 Nov 16:00 1 h 08 3 min 00 s")


def test_causes_are_told_with_which_way_they_go() -> None:
    it = on_paper("sixty jobs")
    assert it.says("What made the difference")
    assert it.says("Harbour rowing club ▲ +3,000.05 setup ▼ -13.13 all")


def test_paid_hours_are_held_against_those_in_pieces() -> None:
    it = on_paper("sixty jobs")
    assert it.says("35.0 24.4 10.6 190.80")
    assert it.says("nobody signed in")


def test_a_machine_is_told_with_its_days_and_how_much_of_the_open_time_it_was_busy() -> None:
    it = on_paper("sixty jobs")
    assert it.says("printer 1 day 0:00 6:00 12:00 18:00 24:00 busy open Mon 23 Nov 2026 4 h 30 9 h 00 Tue 24 Nov 2026")
    assert not it.says("Sun 29 Nov 2026 0 s")
    assert it.says(
        "all busy 50.0 % of opening hours 93.3 % of the busy time added value down for 1 h 30 of opening hours"
    )
    assert it.says("620 steps: 310 derived; 4 more assumed, left out 22 h 30 45 h 00")


def test_ink_that_was_not_read_is_not_made_up() -> None:
    assert on_paper("one job").says("white 140.0 120.3 19.8 40 12 colour not read 62.1 not read 0 0")


def test_a_week_without_work_says_so_on_one_page() -> None:
    [text] = on_paper("no work").texts
    for words in ("Nothing was finished or spoiled this week.", "Nothing was spoiled.", "No step was done."):
        assert words in text


def test_a_running_week_and_a_revision_are_told_before_any_figure() -> None:
    first = on_paper("long names").texts[0]
    assert first.index("Revision 2.") < first.index("J0001")
    assert "This week still runs. All figures are those up to Wed 25 Nov 14:05." in first
    assert "revision 2" in on_paper("long names").document.get_metadata_dict()["Title"]
    assert "Revision" not in on_paper("one job").text


def test_a_week_that_is_over_is_told_with_its_days() -> None:
    first = on_paper("a week 53").texts[0]
    assert "Week 2026-W53" in first
    assert "Mon 28 Dec 2026 to Sun 3 Jan 2027" in first
    assert "still runs" not in first


def test_sixty_jobs_go_on_with_the_heads_of_their_columns() -> None:
    it = on_paper("sixty jobs")
    table = it.text[it.text.rindex("Quoted against actual, by job\r") : it.text.index("Spoiled, by reason")]
    assert re.findall(r"^J\d{4}(?=\r?$)", table, re.MULTILINE) == [f"J{n:04}" for n in range(1, 61)]
    going_on = [text for text in it.texts if text.startswith("Quoted against actual, by job, continued")]
    assert len(going_on) > 2
    assert all("variance" in text for text in going_on)


# How it looks


def boxes(page: Any) -> list[tuple[float, float, float, float]]:
    """Left, bottom, right and top of each run of text, a little smaller, for letters of a line may touch."""
    text = page.get_textpage()
    found = [text.get_rect(n) for n in range(text.count_rects())]
    return [(left + 0.3, bottom + 0.3, right - 0.3, top - 0.3) for left, bottom, right, top in found]


def overlap(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@every_language
@every_paper
@every_week
def test_no_text_lies_over_another(week: str, paper: str, language: str) -> None:
    for page in on_paper(week, paper, language).pages:
        assert not [(one, other) for one, other in combinations(boxes(page), 2) if overlap(one, other)]


@every_language
@every_paper
@every_week
def test_nothing_reaches_into_the_margin(week: str, paper: str, language: str) -> None:
    for page in on_paper(week, paper, language).pages:
        width, height = page.get_size()
        for found in page.get_objects():
            left, bottom, right, top = found.get_bounds()
            assert left > MARGIN - 1
            assert bottom > MARGIN - 1
            assert right < width - MARGIN + 1
            assert top < height - MARGIN + 1


@every_language
@every_paper
def test_no_name_is_cut(paper: str, language: str) -> None:
    it = on_paper("long names", paper, language)
    assert "…" not in it.text
    for name in (NAMES[0], NAMES[1], NAMES[2], NAMES[4]):
        assert it.says(name)


@pytest.mark.parametrize(("paper", "size_mm"), PAPERS.items())
def test_pages_have_the_size_of_the_shop_s_paper(paper: str, size_mm: tuple[float, float]) -> None:
    for page in on_paper("one job", paper).pages:
        assert page.get_size() == pytest.approx([side * MM for side in size_mm], abs=0.01)


# How it is found and read


def test_every_chapter_has_a_bookmark_to_its_page() -> None:
    it = on_paper("sixty jobs")
    marks = [(mark.get_title(), mark.get_dest().get_index()) for mark in it.document.get_toc()]
    assert [title for title, _ in marks[:4]] == [
        "Week 2026-W48",
        "From margin quoted to margin made",
        "What made the difference",
        "Cost by element",
    ]
    assert all(title in it.texts[page] for title, page in marks)


def test_a_viewer_shows_its_title_and_speaks_its_language() -> None:
    it = on_paper("one job")
    assert it.document.get_metadata_dict()["Title"] == "My print room, week 2026-W48"
    assert b"/DisplayDocTitle true" in it.pdf
    assert b"/Lang (en)" in it.pdf


@every_week
def test_every_font_is_in_the_file_which_is_small(week: str) -> None:
    pdf = on_paper(week).pdf
    assert b"Helvetica" not in pdf
    assert pdf.count(b"/FontFile2") == pdf.count(b"/FontDescriptor ") > 0
    assert len(pdf) <= 2_000_000


def test_the_same_week_has_the_same_bytes() -> None:
    again, out = on_paper("sixty jobs"), BytesIO()
    write_pdf(again.report, parse_shop(shop_data(quotation={"paper": "a4"})), out)
    assert out.getvalue() == again.pdf


def kinds(page: Any) -> Iterator[str]:
    """The tags of a page in reading order, as PDFium finds them."""
    tree = pdfium.FPDF_StructTree_GetForPage(page)
    for n in range(pdfium.FPDF_StructTree_CountChildren(tree)):
        yield from _kinds(pdfium.FPDF_StructTree_GetChildAtIndex(tree, n))
    pdfium.FPDF_StructTree_Close(tree)


def _kinds(element: Any) -> Iterator[str]:
    room = ctypes.create_string_buffer(64)
    length = pdfium.FPDF_StructElement_GetType(element, room, 64)
    yield room.raw[: length - 2].decode("utf-16-le")
    for n in range(pdfium.FPDF_StructElement_CountChildren(element)):
        child = pdfium.FPDF_StructElement_GetChildAtIndex(element, n)
        if child:
            yield from _kinds(child)


def test_it_is_tagged_with_titles_paragraphs_and_tables_in_reading_order() -> None:
    it = on_paper("one job")
    assert b"/MarkInfo" in it.pdf
    found = list(kinds(it.pages[0]))
    assert found[:4] == ["Document", "P", "H1", "P"]
    assert found.count("H1") == 2
    assert found.index("Table") > found.index("H1")
    assert {"TR", "TH", "TD"} <= set(found)
