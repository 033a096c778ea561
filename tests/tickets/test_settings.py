"""The operator reads settings as people say them, each with its unit."""

from decimal import Decimal

import pytest

from shared.route import Uses
from tests.tickets.samples import step
from tickets.settings import setting_words, settings_words


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("temperature_c", "165", "165 °C"),
        ("temperature_f", "330", "330 °F"),
        ("cover", "parchment", "cover parchment"),
        ("passes", "2", "2 passes"),
        ("passes", "1", "1 pass"),
        ("pressure_bar", "3.5", "pressure 3.5 bar"),
        ("platen", "adult", "platen adult"),
        ("flash_s", "10", "flash 10 s"),
        ("head_height_mm", "2", "head height 2 mm"),
        ("c", "165", "165 c"),
        ("ink_profile", "", "ink profile"),
    ],
)
def test_a_setting_is_said_as_people_say_it(key: str, value: str, said: str) -> None:
    assert setting_words(key, value) == said


def test_grams_and_least_time_are_settings_too() -> None:
    cure = step("cure", "dwell", min_s=180, settings={"temperature_c": "165"})
    pretreat = step("pretreat", uses=Uses(pretreat_g=Decimal("24.50")))
    assert settings_words(cure) == ("165 °C", "180 s")
    assert settings_words(pretreat) == ("24.5 g",)


def test_round_hundreds_of_grams_are_not_written_as_powers_of_ten() -> None:
    assert settings_words(step("pretreat", uses=Uses(pretreat_g=Decimal("100")))) == ("100 g",)


def test_a_step_without_settings_says_nothing() -> None:
    assert settings_words(step("inspect")) == ()
