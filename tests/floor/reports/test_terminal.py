"""The week's report as text."""

import re
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from rich.cells import cell_len

from floor.core.cost.variance import Variance
from floor.core.figures.data import (
    HandsWeek,
    Headline,
    InkWeek,
    JobWeek,
    LateJob,
    OverTime,
    SpoiledFor,
    StepWeek,
    WeekReport,
)
from floor.core.times.cycle import Figures
from floor.reports.terminal import report_text
from shared.files.shop import parse_shop
from shared.money import ELEMENTS
from shared.wording import figure
from tests.floor.wall.boards import TEXTS, lines_of, written
from tests.making import shop, shop_data

NOTHING = Figures(n=0, median=None, p90=None, mean=None, derived=0, assumed=0)
AMOUNTS = st.integers(0, 10**12).map(lambda cents: Decimal(cents) / 100)


def times(median: float, n: int = 60) -> Figures:
    return Figures(n=n, median=median, p90=2 * median, mean=median, derived=12, assumed=3)


def job_week(
    job: str, customer: str, quoted: list[Decimal], actual: list[Decimal], abnormal: Decimal = Decimal(0)
) -> JobWeek:
    """A job whose variances are all by quantity, but for labour, where half is by price."""
    costs = [dict(zip(ELEMENTS, amounts, strict=True)) for amounts in (quoted, actual)]
    quoted_total, actual_total = (sum(cost.values(), Decimal(0)) for cost in costs)
    variance = {
        element: Variance(price=Decimal(0), quantity=costs[1][element] - costs[0][element]) for element in ELEMENTS
    }
    half = Decimal(int(variance["labour"].quantity * 50)) / 100
    variance["labour"] = Variance(price=half, quantity=variance["labour"].quantity - half)
    return JobWeek(
        job=job,
        customer=customer,
        finished=24,
        spoiled=1,
        quoted={**{str(key): amount for key, amount in costs[0].items()}, "total": quoted_total},
        actual={**{str(key): amount for key, amount in costs[1].items()}, "total": actual_total},
        variance=variance,
        variance_total=actual_total - quoted_total,
        abnormal_spoilage=abnormal,
        price=2 * quoted_total,
        margin_quoted=quoted_total,
        margin_made=2 * quoted_total - actual_total - abnormal,
    )


def late_job(job: str, late_s: float, *, still_open: bool = False, customer: str = "") -> LateJob:
    due = datetime(2026, 11, 25, 15, tzinfo=UTC)
    finished = None if still_open else due + timedelta(seconds=late_s)
    return LateJob(job=job, customer=customer, due=due, finished=finished, late_s=late_s)


def amounts(*texts: str) -> list[Decimal]:
    return [Decimal(text) for text in texts]


QUOTED = amounts("62.40", "8.06", "26.10", "7.20", "43.20", "18.00", "1.44", "4.99", "19.20")
ACTUAL = amounts("62.40", "8.40", "25.00", "7.20", "61.15", "17.10", "1.50", "4.99", "27.40")
JOB = job_week("J0001", "Harbour rowing club", QUOTED, ACTUAL, Decimal("6.31"))
REPORT = WeekReport(
    week="2026-W48",
    currency="USD",
    start=datetime(2026, 11, 23, 5, tzinfo=UTC),
    until=datetime(2026, 11, 25, 19, 5, tzinfo=UTC),
    finished=24,
    spoiled=1,
    open=9,
    jobs=[JOB],
    total=replace(JOB, job="", customer=""),
    cycle_time_s=times(8_090),
    cycle_time_working_s=times(7_200),
    steps={
        "colour": StepWeek(queuing_s=times(600), processing_s=times(125)),
        "cure": StepWeek(queuing_s=NOTHING, processing_s=NOTHING),
    },
    first_pass_yield=0.968,
    throughput_per_hour=3.16,
    spoiled_by_reason=[SpoiledFor(reason="banding", pieces=1, cost=Decimal("11.30"))],
    late_jobs=["J0001", "J0007"],
    late=[late_job("J0007", 3_700, still_open=True), late_job("J0001", 65)],
    hands=[
        HandsWeek(
            badge="Ash",
            paid_s=16_432,
            absorbed_s=2_430,
            unattributed_s=14_002,
            paid=Decimal("82.16"),
            absorbed=Decimal("12.15"),
            unattributed=Decimal("70.01"),
            not_signed_out=2,
        )
    ],
    ink={
        "white": InkWeek(
            drawn_ml=Decimal(140), printed_ml=Decimal("120.25"), lost_ml=Decimal("19.75"), prints=40, read=12
        ),
        "colour": InkWeek(drawn_ml=None, printed_ml=Decimal("62.1"), lost_ml=None),
    },
    headlines=[Headline(at_stake=Decimal(9 - n), say=f"Thing {n} cost {9 - n}.00 USD more.") for n in range(4)],
)
EMPTY = replace(
    REPORT,
    finished=0,
    spoiled=0,
    jobs=[],
    total=job_week("", "", [Decimal(0)] * 9, [Decimal(0)] * 9),
    cycle_time_s=NOTHING,
    cycle_time_working_s=NOTHING,
    steps={},
    first_pass_yield=None,
    throughput_per_hour=None,
    spoiled_by_reason=[],
    late_jobs=[],
    late=[],
    hands=[],
    headlines=[Headline(at_stake=Decimal(0), say="Nothing was finished or spoiled this week.")],
)


def lines(report: WeekReport = REPORT, width: int = 80) -> list[str]:
    return [line.rstrip() for line in lines_of(report_text(report, shop(), width), width)]


def below(title: str, shown: list[str]) -> list[str]:
    """The lines under a title, down to the next blank one."""
    start = next(n for n, line in enumerate(shown) if line.startswith(title)) + 1
    return shown[start : shown.index("", start)] if "" in shown[start:] else shown[start:]


def test_the_first_line_is_the_one_thing_that_matters_most_and_three_more_follow() -> None:
    assert lines()[:4] == [
        "Thing 0 cost 9.00 USD more.",
        "· Thing 1 cost 8.00 USD more.",
        "· Thing 2 cost 7.00 USD more.",
        "· Thing 3 cost 6.00 USD more.",
    ]


def test_it_names_the_week_and_says_while_it_still_runs() -> None:
    assert f"{shop().name}, week 2026-W48 from Mon 23 Nov 2026, up to Wed 25 Nov 14:05" in lines()
    over = replace(REPORT, until=datetime(2026, 11, 30, 5, tzinfo=UTC))
    assert f"{shop().name}, week 2026-W48 from Mon 23 Nov 2026" in lines(over)


def test_pieces_yield_throughput_and_late_jobs_are_told() -> None:
    assert below(shop().name, lines()) == [
        "pieces            24 finished, 1 spoiled, 9 open",
        "first-pass yield  96.8 % good at their first inspection",
        "throughput        3.2 pieces finished in a working hour",
        "late jobs         J0007 still open, 1 h 01 late, J0001 1 min 05 s late",
    ]


def stays(count: int) -> list[OverTime]:
    stay = OverTime(
        piece="1000000137",
        job="J0001",
        step="cure",
        press="press 1",
        opened=REPORT.start,
        held_s=4_080,
        least_s=180,
    )
    return [stay] * count


def test_pieces_that_stayed_in_a_press_for_too_long_are_named_and_of_many_the_rest_are_counted() -> None:
    one, many = (
        next(line for line in lines(replace(REPORT, over_time=stays(count)), 1_000) if line.startswith("too long"))
        for count in (1, 7)
    )
    named = "1000000137 of J0001, 1 h 08 instead of 3 min 00 s at press 1"
    assert one == f"too long in a press  {named}"
    assert many.endswith(f"{named}; +2 more")


def test_a_job_shows_what_was_quoted_and_spent_and_which_way_they_differ_in_sign_shape_and_word() -> None:
    assert below("Cost by job, USD", lines())[1] == (
        "J0001 Harbour rowing club        24        1  190.59  215.14  ▲ adverse +24.55"
    )


def test_margins_quoted_and_made_stand_with_the_price() -> None:
    row = [line for line in lines() if line.startswith("J0001 Harbour")][1]
    assert row.split()[-5:] == ["6.31", "0.00", "381.18", "190.59", "159.73"]


def test_each_element_shows_its_variance_by_price_and_by_quantity() -> None:
    rows = {line.split("  ")[0]: line.split() for line in below("Cost by element", lines())}
    assert rows["labour"][1:] == ["43.20", "61.15", "▲", "+8.97", "▲", "+8.98", "▲", "adverse", "+17.95"]
    assert rows["machine"][1:] == ["18.00", "17.10", "0.00", "▼", "-0.90", "▼", "favourable", "-0.90"]
    assert rows["garment"][1:] == ["62.40", "62.40", "0.00", "0.00", "0.00"]
    assert rows["total"][1:3] == ["190.59", "215.14"]
    assert rows["total"][-3:] == ["▲", "adverse", "+24.55"]


def test_the_signs_are_explained() -> None:
    assert "▲ adverse: it cost more than quoted.  ▼ favourable: it cost less." in lines()


def test_spoilage_beyond_the_allowance_is_told_apart() -> None:
    assert "Spoilage beyond the quoted allowance, $6.31, comes on top" in "\n".join(lines())
    within = replace(REPORT, total=replace(REPORT.total, abnormal_spoilage=Decimal(0)))
    assert "comes on top" not in "\n".join(lines(within))


def test_spoilage_is_told_by_reason() -> None:
    assert below("Spoiled, by reason", lines())[-1].split() == ["banding", "1", "11.30"]


def test_times_say_whether_they_are_elapsed_or_working_and_on_what_they_stand() -> None:
    cycle = below("Cycle time", lines())
    assert cycle[0].split() == ["time", "n", "median", "p90", "mean", "derived", "assumed"]
    assert cycle[1].split() == ["elapsed", "60", "2", "h", "14", "4", "h", "29", "2", "h", "14", "12", "3"]
    assert cycle[2].split()[:4] == ["working", "60", "2", "h"]
    assert below("Queuing time by step, elapsed", lines())[1].split()[:5] == ["colour", "60", "10", "min", "00"]
    processing = below("Processing time by step, elapsed", lines())
    assert processing[1].split()[:5] == ["colour", "60", "2", "min", "05"]
    assert processing[2].split() == ["cure", "0", "–", "–", "–", "0", "0"]
    assert any(line.startswith("derived: ") for line in lines())


def test_ink_that_was_not_read_is_not_made_up() -> None:
    assert [line.split() for line in below("Ink, ml", lines())[-2:]] == [
        ["white", "140.0", "120.3", "19.8", "40", "12"],
        ["colour", "not", "read", "62.1", "not", "read", "0", "0"],
    ]


def test_a_week_in_which_nothing_happened_says_so() -> None:
    text = lines(EMPTY)
    assert text[0] == "Nothing was finished or spoiled this week."
    for words in ("Nothing was finished or spoiled.", "Nothing was spoiled.", "No step was done."):
        assert words in text
    assert "late jobs         none" in text
    assert "first-pass yield  nothing was inspected" in text


def test_a_wider_terminal_holds_all_of_a_job_in_one_line() -> None:
    rows = [line for line in lines(width=130) if line.startswith("J0001 Harbour rowing club")]
    assert len(rows) == 1
    assert rows[0].split()[-1] == "159.73"


@settings(max_examples=40)
@given(
    quoted=st.lists(AMOUNTS, min_size=9, max_size=9),
    actual=st.lists(AMOUNTS, min_size=9, max_size=9),
    abnormal=AMOUNTS,
    customer=TEXTS,
    width=st.integers(80, 200),
)
def test_no_figure_is_ever_cut_or_wrapped(
    quoted: list[Decimal], actual: list[Decimal], abnormal: Decimal, customer: str, width: int
) -> None:
    job = job_week("J0001", customer, quoted, actual, abnormal)
    shown = lines(replace(REPORT, jobs=[job], total=job), width)
    assert max(map(cell_len, shown)) <= width
    words = set(" ".join(shown).replace("+", "").split())
    money = [
        *job.quoted.values(),
        *job.actual.values(),
        job.price,
        job.margin_quoted,
        job.margin_made,
        abnormal,
    ]
    parts = [part for each in job.variance.values() for part in (each.price, each.quantity)]
    assert {figure(amount, "USD") for amount in [*money, *parts, job.variance_total]} <= words


@settings(max_examples=30)
@given(name=TEXTS)
def test_names_from_outside_drive_nothing(name: str) -> None:
    headlines = [Headline(at_stake=Decimal(1), say=name)]
    reasons = [SpoiledFor(reason=name, pieces=1, cost=Decimal(1))]
    report = replace(
        REPORT,
        jobs=[replace(JOB, customer=name)],
        total=replace(REPORT.total, causes={name: Decimal(1)}),
        headlines=headlines,
        spoiled_by_reason=reasons,
        late=[late_job(name, 60)],
        hands=[replace(REPORT.hands[0], badge=name)],
    )
    sent = re.sub("\x1b\\[[0-9;]*m", "", written(report_text(report, shop()), 80))
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2066-\u2069\ufeff]", sent)


@pytest.mark.parametrize("no_color", [True, False])
def test_colour_says_nothing_that_words_do_not(no_color: bool) -> None:
    sent = written(report_text(REPORT, shop()), 80, no_color=no_color)
    assert "▲ adverse +24.55" in sent
    assert ("\x1b[1;31m" in sent) is not no_color


def test_hours_in_no_piece_are_held_against_the_allowance_for_rest() -> None:
    allowing = parse_shop(shop_data(allowance={"share": "0.10"}))
    text = " ".join(line.strip() for line in lines_of(report_text(REPORT, allowing, 200), 200))
    assert "It was 576.2 % of what was in pieces; quotes allow 10.0 % for rest." in text
    assert "quotes allow" not in " ".join(lines_of(report_text(REPORT, shop(), 200), 200))
