"""The operator reads settings as people say them, each with its unit."""

from decimal import Decimal

import pytest

from shared.route import Uses
from shared.words import Words
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


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("passes", "2", "2 Durchgänge"),
        ("passes", "1", "1 Durchgang"),
        ("cover", "Backpapier", "Abdeckung Backpapier"),
        ("dry_temperature_c", "165", "Trocknung 165 °C"),
        ("anpressdruck_bar", "3.5", "anpressdruck 3,5 bar"),
        ("profil", "1.2", "profil 1.2"),
    ],
)
def test_a_german_operator_reads_our_names_in_german_and_the_shops_as_it_wrote_them(
    key: str, value: str, said: str
) -> None:
    assert setting_words(key, value, Words("de")) == said


def test_grams_have_the_decimal_sign_of_the_language() -> None:
    pretreat = step("pretreat", uses=Uses(pretreat_g=Decimal("24.50")))
    assert settings_words(pretreat, Words("de")) == ("24,5 g",)
