"""Light, drops and ink against numbers from elsewhere."""

from decimal import Decimal

import numpy as np
import pytest
from PIL import Image

from floor.ink.coverage import coverage, ink_use
from floor.ink.estimate import costs
from floor.ink.light import WEIGHTS, lightness, linear
from floor.ink.separation import colour_shares
from floor.ink.underlayer import UnderlayerCurve
from shared.files.colours import Rgb
from shared.files.inks import Ink
from tests.floor.ink.drawn import BLACK, patch, pixels
from tests.making import shop

# sRGB: IEC 61966-2-1, by the definition of relative luminance in WCAG 2.1 (0.04045 where older texts print 0.03928).
# Lightness: CIE 15, with the exact constants 216/24389 and 24389/27.


@pytest.mark.parametrize(
    ("level", "light", "l_star"),
    [
        (0, "0", "0"),
        (10, "0.00303527", "2.7417"),  # the last level on the straight piece
        (11, "0.00334654", "3.0229"),
        (64, "0.05126946", "27.0934"),
        (118, "0.18116424", "49.6370"),
        (119, "0.18447499", "50.0344"),
        (128, "0.21586050", "53.5850"),
        (188, "0.50288646", "76.2461"),
        (255, "1", "100"),
    ],
)
def test_the_light_and_lightness_of_greys(level: int, light: str, l_star: str) -> None:
    assert float(linear(level / 255)) == pytest.approx(float(light), abs=5e-9)
    assert float(lightness(linear(level / 255))) == pytest.approx(float(l_star), abs=5e-5)


@pytest.mark.parametrize(
    ("colour", "luminance", "l_star"),
    [((1, 0, 0), "0.2126", "53.2329"), ((0, 1, 0), "0.7152", "87.7370"), ((0, 0, 1), "0.0722", "32.3026")],
)
def test_the_luminance_and_lightness_of_red_green_and_blue(colour: Rgb, luminance: str, l_star: str) -> None:
    light = float(linear(colour) @ np.array(WEIGHTS))
    assert light == pytest.approx(float(luminance))
    assert float(lightness(light)) == pytest.approx(float(l_star), abs=5e-5)


def test_both_pieces_of_the_lightness_curve_meet_at_eight() -> None:
    at = 216 / 24389
    assert float(lightness(at)) == pytest.approx(8)
    assert float(lightness(np.nextafter(at, 1))) == pytest.approx(8)


@pytest.mark.parametrize(("luminance", "l_star"), [(0.18, "49.4961"), (0.18418652, "50")])
def test_middle_grey(luminance: float, l_star: str) -> None:
    assert float(lightness(luminance)) == pytest.approx(float(l_star), abs=5e-5)


@pytest.mark.parametrize(
    ("colour", "inks"),
    [
        ((255, 0, 0), "2"),  # 0, 1, 1, 0
        ((128, 128, 128), "0.49804"),  # 0, 0, 0, 127/255
        ((100, 150, 200), "0.96569"),  # 0.5, 0.25, 0, 55/255
        ((0, 0, 0), "1"),  # 0, 0, 0, 1
    ],
)
def test_red_green_blue_to_cyan_magenta_yellow_black(colour: Rgb, inks: str) -> None:
    """The textbook formula with full grey-component replacement, from memory; values recomputed from it."""
    assert float(colour_shares(patch(*colour)).mean()) == pytest.approx(float(inks), abs=1e-5)


@pytest.mark.parametrize(
    ("dpi", "drop_pl", "ml_per_m2", "ml"),
    [
        ((600, 600), "21", "11.718", "1.693"),
        ((1440, 720), "3.5", "5.6247", "0.8129"),
        ((600, 600), "14", "7.812", "1.129"),
        ((1200, 1200), "5", "11.160", "1.613"),
    ],
)
def test_drops_on_a_grid_make_a_laydown(dpi: tuple[int, int], drop_pl: str, ml_per_m2: str, ml: str) -> None:
    """Arithmetic: dpi × dpi / 0.0254² m² × drop × 1e-9 ml/pl; on a square metre, and on 14 × 16 inches."""
    ink = Ink(dpi=dpi, drop_pl=Decimal(drop_pl))
    assert ink.full_ml(Decimal(1000), Decimal(1000)) == pytest.approx(Decimal(ml_per_m2), abs=Decimal("0.0005"))
    assert ink.full_ml(14 * Decimal("25.4"), 16 * Decimal("25.4")) == pytest.approx(Decimal(ml), abs=Decimal("0.0005"))


def test_a_solid_patch_of_known_coverage_takes_known_ink() -> None:
    """14 × 16 inches at 600 × 600 dpi, 21 pl: 1.693 ml a pass. White all over: two passes of white. Red: two inks."""
    size = (14 * Decimal("25.4"), 16 * Decimal("25.4"))
    white = ink_use(coverage([patch(255, 255, 255)], UnderlayerCurve(shop().file.inks.underlayer, BLACK)), INKS, *size)
    red = ink_use(coverage([patch(255, 0, 0)], None), INKS, *size)
    assert white.white_ml == pytest.approx(Decimal("3.387"), abs=Decimal("0.001"))
    assert red.colour_ml == pytest.approx(Decimal("3.387"), abs=Decimal("0.001"))


INKS = shop().file.inks


def photograph() -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    """Blurred patches of all colours alike, opaque, 400 by 480 pixels."""
    patches = np.random.default_rng(3).integers(0, 256, (24, 20, 3), dtype=np.uint8)
    return np.asarray(Image.fromarray(patches).resize((400, 480), Image.Resampling.BICUBIC).convert("RGBA"))


def cost_of(underlayer: UnderlayerCurve | None, width_mm: int, height_mm: int) -> Decimal:
    covered = coverage([pixels(photograph())], underlayer)
    return Decimal(costs(ink_use(covered, INKS, Decimal(width_mm), Decimal(height_mm)), shop())["total"])


def test_a_full_oversized_dark_print_takes_about_one_dollar_and_37_cents_of_ink() -> None:
    """At the prices of a new shop. Common practice, no source; so to a tenth."""
    cost = cost_of(UnderlayerCurve(INKS.underlayer, BLACK), 400, 480)
    assert cost == pytest.approx(Decimal("1.37"), rel=Decimal("0.1"))


@pytest.mark.parametrize(("width_mm", "height_mm"), [(250, 300), (300, 400)])
def test_an_ordinary_light_print_takes_15_to_35_cents_of_ink(width_mm: int, height_mm: int) -> None:
    """At the prices of a new shop. Common practice, no source."""
    assert Decimal("0.15") <= cost_of(None, width_mm, height_mm) <= Decimal("0.35")
