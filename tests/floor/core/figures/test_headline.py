"""What matters most in a week, in plain words, by the money at stake."""

from decimal import Decimal

import pytest
from msgspec.structs import replace

from floor.core.cost.variance import Variance
from floor.core.figures.data import JobWeek, LateJob, SpoiledFor
from floor.core.figures.headline import BySteps, Week, headlines
from shared.money import ELEMENTS, Element
from shared.words import Words
from tests.making import MONDAY

NONE = Variance(Decimal(0), Decimal(0))


def job(name: str = "J0001", *, abnormal: str = "0", made: str = "10", **variance: tuple[str, str]) -> JobWeek:
    parts: dict[Element, Variance] = dict.fromkeys(ELEMENTS, NONE)
    parts |= {element: Variance(Decimal(a), Decimal(b)) for element, (a, b) in variance.items()}  # type: ignore[misc]
    return JobWeek(
        job=name,
        customer="Rowing club",
        finished=1,
        spoiled=1,
        quoted={},
        actual={},
        variance=parts,
        variance_total=Decimal(0),
        abnormal_spoilage=Decimal(abnormal),
        price=Decimal(20),
        margin_quoted=Decimal(10),
        margin_made=Decimal(made),
    )


def reasons(*names: str) -> dict[str, list[SpoiledFor]]:
    return {"J0001": [SpoiledFor(reason=name, pieces=1, cost=Decimal(1)) for name in names]}


def said(*jobs: JobWeek, why: dict[str, list[SpoiledFor]] | None = None, language: str = "en") -> list[str]:
    return [each.say for each in headlines(Week(jobs, why or {}), "USD", Words(language))]


def test_a_week_without_work_says_so() -> None:
    assert said() == ["Nothing was finished or spoiled this week."]


def test_a_week_in_which_all_went_as_quoted_says_so() -> None:
    assert said(job()) == ["Every job cost what was quoted."]


def test_slower_hands_are_told_as_time() -> None:
    assert said(job(labour=("0", "4.20"))) == ["J0001: labour cost 4.20 USD more than quoted, mainly by time taken."]


def test_dearer_hands_are_told_as_their_rate() -> None:
    assert said(job(labour=("4.20", "0"))) == ["J0001: labour cost 4.20 USD more than quoted, mainly by rate."]


def test_cheaper_blanks_are_told_as_their_price() -> None:
    assert said(job(garment=("-3.00", "0.50"))) == ["J0001: garments cost 2.50 USD less than quoted, mainly by price."]


def test_the_cause_is_the_larger_of_two_that_pull_apart() -> None:
    assert said(job(white_ink=("-5.00", "6.00"))) == [
        "J0001: white ink cost 1.00 USD more than quoted, mainly by how much was used."
    ]


def test_spoilage_above_the_allowance_is_told_with_its_reason() -> None:
    assert said(job(abnormal="12.00"), why=reasons("scorch")) == [
        "J0001 lost 12.00 USD beyond the allowance to 1 spoiled piece: scorch."
    ]


def test_of_several_reasons_of_the_job_the_costliest_is_told() -> None:
    assert said(job(abnormal="12.00"), why=reasons("scorch", "stain"))[0].endswith("1 spoiled piece: mostly scorch.")


def test_a_job_that_brings_less_than_it_cost_is_told() -> None:
    assert said(job(made="-7.50")) == ["J0001 lost money: 7.50 USD more was spent than it brings."]


def test_what_is_at_stake_in_a_variance_is_price_and_quantity_together() -> None:
    [line] = headlines(Week([job(labour=("4.20", "-1.20"))]), "USD")
    assert line.at_stake == Decimal("3.00")


def test_a_price_and_a_quantity_that_make_up_for_each_other_are_not_worth_a_line() -> None:
    assert said(job(labour=("4.20", "-4.20"))) == ["Every job cost what was quoted."]


def test_the_largest_sum_comes_first() -> None:
    first, *_ = said(job(labour=("0", "4.20"), garment=("0", "-9.00")), job("J0002", made="-5.00"))
    assert first == "J0001: garments cost 9.00 USD less than quoted, mainly by how much was used."


def test_no_more_than_four_things_are_said() -> None:
    costly = dict.fromkeys(("labour", "machine", "garment", "pretreat", "overhead"), ("0", "2"))
    assert len(said(*(job(f"J{n}", **costly) for n in range(5)))) == 4  # type: ignore[arg-type]


def test_a_cause_is_added_up_across_jobs_and_told_with_the_step_where_it_arose() -> None:
    jobs = [job(f"J{n:04}", labour=("0", "2.50")) for n in range(12)]
    steps: BySteps = {
        ("labour", "pretreat"): Decimal(29),
        ("labour", "pack"): Decimal(1),
        ("machine", "cure"): Decimal(99),
    }
    [line] = headlines(Week(jobs, steps=steps), "USD")
    assert line.say == "In 12 jobs labour cost 30.00 USD more than quoted, mainly at pretreat."
    assert line.at_stake == 30


def test_what_one_job_saves_another_may_spend() -> None:
    [line] = said(job(labour=("0", "2.50")), job("J0002", labour=("0", "-2.50")))
    assert line == "No job cost notably more or less than was quoted."


def test_where_less_was_spent_the_step_is_the_one_that_saved_most() -> None:
    steps: BySteps = {("labour", "pretreat"): Decimal(1), ("labour", "pack"): Decimal(-9)}
    [line] = headlines(Week([job(labour=("0", "-8.00"))], steps=steps), "USD")
    assert line.say == "J0001: labour cost 8.00 USD less than quoted, mainly at pack."


@pytest.mark.parametrize(
    ("margin", "amount", "told"), [("10", "0.99", 0), ("10", "1.00", 1), ("500", "4.99", 0), ("500", "5.00", 1)]
)
def test_nothing_below_a_hundredth_of_the_margin_or_one_of_the_currency_is_a_headline(
    margin: str, amount: str, told: int
) -> None:
    small = replace(job(labour=("0", amount)), margin_quoted=Decimal(margin))
    assert [line.startswith("J0001: labour") for line in said(small)] == [bool(told)]


def late(name: str, price: str, late_s: float = 7_200) -> LateJob:
    return LateJob(job=name, customer="", due=MONDAY, finished=None, late_s=late_s, price=Decimal(price))


def test_promises_that_were_broken_rank_by_what_those_jobs_bring() -> None:
    week = Week([job(labour=("0", "4.20"))], late=[late("J0009", "400"), late("J0003", "1.50", 60)])
    first, second = headlines(week, "USD")
    assert (first.say, first.at_stake) == ("2 jobs are late, J0009 by 2 h 00.", Decimal("401.50"))
    assert second.say.startswith("J0001: labour")


@pytest.mark.parametrize(("price", "margin", "told"), [("0.99", "10", 0), ("1.00", "100", 1), ("1.99", "200", 0)])
def test_a_broken_promise_that_brings_less_than_the_least_stake_is_no_headline(
    price: str, margin: str, told: int
) -> None:
    """A free sample that is minutes late must not stand above what the week lost; the report lists it all the same."""
    one = replace(job(), margin_quoted=Decimal(margin))
    lines = [line.say for line in headlines(Week([one], late=[late("J0003", price, 180)]), "USD")]
    assert ["J0003 is late by 3 min" in line for line in lines] == [bool(told)]


def test_what_several_jobs_lost_is_one_line() -> None:
    spoiled = [job(name, abnormal="6.00") for name in ("J0001", "J0002")]
    why = {"J0001": reasons("stain")["J0001"], "J0002": reasons("scorch", "stain")["J0001"]}
    assert said(*spoiled, why=why) == ["2 jobs lost 12.00 USD beyond the allowance to 2 spoiled pieces: mostly stain."]
    up = [replace(job(name), given_up=2, given_up_cost=Decimal(3)) for name in ("J0001", "J0002")]
    assert said(*up) == ["2 jobs lost 6.00 USD in 4 pieces that were given up."]
    [line] = said(job(made="-2.00"), job("J0002", made="-7.50"))
    assert line == "2 jobs lost money, J0002 most of all: 9.50 USD more was spent than they bring."


def test_several_spoiled_pieces_are_told_as_several() -> None:
    several = replace(job(abnormal="12.00"), spoiled=3)
    assert said(several, why=reasons("scorch")) == [
        "J0001 lost 12.00 USD beyond the allowance to 3 spoiled pieces: scorch."
    ]


def test_pieces_that_were_given_up_are_told_as_one_or_several() -> None:
    one = replace(job(), given_up=1, given_up_cost=Decimal("3.02"))
    assert said(one) == ["J0001 lost 3.02 USD in 1 piece that was given up."]
    assert said(replace(one, given_up=2)) == ["J0001 lost 3.02 USD in 2 pieces that were given up."]


GERMAN = [
    ([], {}, "Diese Woche wurde nichts fertig, und es gab keinen Ausschuss."),
    ([job()], {}, "Jeder Auftrag kostete, was angeboten war."),
    (
        [job(abnormal="12.00")],
        reasons("scorch"),
        "J0001: 12,00 USD Verlust über den Ausschusszuschlag hinaus durch 1 Stück Ausschuss: scorch.",
    ),
    (
        [replace(job(abnormal="12.00"), spoiled=3)],
        reasons("scorch", "stain"),
        "J0001: 12,00 USD Verlust über den Ausschusszuschlag hinaus durch 3 Stück Ausschuss: vor allem scorch.",
    ),
    (
        [replace(job(), given_up=2, given_up_cost=Decimal("3.02"))],
        {},
        "J0001: 3,02 USD Verlust durch 2 Stücke, die aufgegeben wurden.",
    ),
    ([job(made="-7.50")], {}, "J0001 bringt Verlust: Er kostet 7,50 USD mehr, als er einbringt."),
    (
        [job(machine=("0", "4.20"))],
        {},
        "J0001, Maschinenzeit: 4,20 USD mehr als angeboten, vor allem durch die gebrauchte Zeit.",
    ),
    ([job(white_ink=("-4.20", "0"))], {}, "J0001, Weiß: 4,20 USD weniger als angeboten, vor allem durch Preise."),
]


@pytest.mark.parametrize(("jobs", "why", "say"), GERMAN)
def test_a_german_shop_is_told_in_german(jobs: list[JobWeek], why: dict[str, list[SpoiledFor]], say: str) -> None:
    assert said(*jobs, why=why, language="de") == [say]
