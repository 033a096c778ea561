"""The pages against what is known about eyes: axe-core's rules, contrast by WCAG, colours as the colour-blind see them.

Sources: axe-core 4.11.2 (Deque Systems), by its own grades; WCAG 2.1, "relative luminance", "contrast ratio", success
criteria 1.4.1, 1.4.3 (4.5:1) and 1.4.6 (7:1); Machado, Oliveira and Fernandes, "A Physiologically-based Model for
Simulation of Color Vision Deficiency", IEEE TVCG 15 (2009), table 1, severity 1.0, for linear RGB; CIE 15:2004, L*a*b*
under D65; IEC 61966-2-1 for sRGB.
"""

import re
from collections.abc import Iterator, Sequence
from itertools import combinations
from math import dist
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser, Page

from floor.wall.signs import ALARMS, SHAPES
from floor.web.pages.station import OUTCOMES
from tests.floor.web import rig
from tests.floor.web.browser import browser, opened
from tests.floor.web.crowd import crowded, scan
from tests.outside.npm import package

__all__ = ["browser"]

AXE = ("axe-core", "4.11.2")
WALL, STATION = "/wall", "/station/press%201"
OFFICE = ("/", "/login", "/jobs", "/jobs/J0001", "/pieces/{piece}", "/presses", "/care", "/week", "/no-such-page")
PAGES = (WALL, STATION, "/station/packing", *OFFICE)
FAR = 15.0
"""Of two patches side by side 2.3 is just noticed (Mahy and others, 1994); across a room more is wanted."""
COLOUR_BLIND = {
    "everybody": np.eye(3),
    "protanopia": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "deuteranopia": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "tritanopia": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
TEXTS = """() => {
  document.getElementById("old")?.removeAttribute("hidden");
  const ground = (element) => {
    for (let at = element; at; at = at.parentElement) {
      const colour = getComputedStyle(at).backgroundColor;
      if (colour !== "rgba(0, 0, 0, 0)") return colour;
    }
    return "rgb(255, 255, 255)";
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || !element.checkVisibility()) continue;
    found.push([walker.currentNode.data.trim(), getComputedStyle(element).color, ground(element)]);
  }
  return found;
}"""
SIGNS = """() => [...document.querySelectorAll(".sign, .word")].map((sign) =>
  [sign.classList.contains("sign") ? sign.classList[1] : sign.parentElement.classList[1], sign.textContent.trim()])"""
TONE_COLOURS = """(tones) => tones.map((tone) =>
  getComputedStyle(document.body).getPropertyValue(`--${tone}`).trim())"""


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """The address of a crowded floor, and one of its pieces; what the packer scanned last was refused."""
    folder: Path = tmp_path_factory.mktemp("shop")
    with rig.house(folder) as house, house.listening() as server:
        pieces = crowded(house)
        assert not scan(house, pieces[-1], "packing").good
        yield server.url, pieces[0]
        house.settings.live.close()


@pytest.fixture(scope="module")
def page(browser: Browser) -> Iterator[Page]:
    with opened(browser, "about:blank") as page:
        yield page


def linear(colour: str) -> Sequence[float]:
    """The linear parts of "rgb(1, 2, 3)" or "#010203"; where WCAG and IEC 61966-2-1 differ, 8 bits have no value."""
    parts = (
        [int(colour[n : n + 2], 16) for n in (1, 3, 5)]
        if colour[0] == "#"
        else list(map(int, re.findall(r"\d+", colour)))
    )
    assert len(parts) == 3, f"{colour} is no opaque colour"
    return [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (part / 255 for part in parts)]


def luminance(colour: str) -> float:
    return float(np.dot([0.2126, 0.7152, 0.0722], linear(colour)))


def contrast(one: str, other: str) -> float:
    dark, light = sorted([luminance(one), luminance(other)])
    return (light + 0.05) / (dark + 0.05)


def lab(rgb: Sequence[float]) -> tuple[float, float, float]:
    """L*a*b* of linear RGB, white being the screen's own."""
    white = TO_XYZ @ np.ones(3)
    ratios = TO_XYZ @ np.clip(rgb, 0, 1) / white
    x, y, z = (t ** (1 / 3) if t > (6 / 29) ** 3 else t / (3 * (6 / 29) ** 2) + 4 / 29 for t in map(float, ratios))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def test_contrast_is_measured_as_wcag_does() -> None:
    assert contrast("#000000", "rgb(255, 255, 255)") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("path", PAGES)
def test_axe_finds_nothing_serious(page: Page, site: tuple[str, str], path: str) -> None:
    url, piece = site
    axe = (package(*AXE) / "axe.min.js").read_text(encoding="utf-8")
    page.set_viewport_size({"width": 360, "height": 740})
    page.goto(url + path.format(piece=piece))
    found = page.evaluate(f"() => {{ {axe} ; return axe.run({{ resultTypes: ['violations'] }}); }}")
    grave = [
        (each["id"], [node["html"] for node in each["nodes"]])
        for each in found["violations"]
        if each["impact"] in {"serious", "critical"}
    ]
    assert grave == []


@pytest.mark.parametrize("path", PAGES)
def test_text_stands_out_from_what_it_stands_on(page: Page, site: tuple[str, str], path: str) -> None:
    url, piece = site
    least = 4.5 if path in OFFICE else 7.0
    page.goto(url + path.format(piece=piece))
    texts = page.evaluate(TEXTS)
    assert len(texts) > 1
    assert [(said, colour, ground) for said, colour, ground in texts if contrast(colour, ground) < least] == []


@pytest.mark.parametrize("eyes", COLOUR_BLIND)
def test_no_two_tones_look_alike_whatever_colours_one_sees(page: Page, site: tuple[str, str], eyes: str) -> None:
    page.goto(site[0] + WALL)
    colours = page.evaluate(TONE_COLOURS, list(SHAPES))
    seen = {tone: lab(COLOUR_BLIND[eyes] @ np.array(linear(c))) for tone, c in zip(SHAPES, colours, strict=True)}
    near = {(a, b): dist(seen[a], seen[b]) for a, b in combinations(seen, 2) if dist(seen[a], seen[b]) < FAR}
    assert near == {}


def signs(page: Page) -> set[tuple[str, str, str]]:
    """The signs that a page shows: tone, shape and word."""
    found = set()
    for tone, said in page.evaluate(SIGNS):
        shape, _, word = said.partition(" ")
        found.add((tone, shape, word.strip()))
    return found


@pytest.mark.parametrize("path", [WALL, STATION, "/station/packing"])
def test_every_state_has_its_word_and_its_tone_s_shape(page: Page, site: tuple[str, str], path: str) -> None:
    page.goto(site[0] + path)
    shown = signs(page)
    assert shown
    assert {(tone, shape) for tone, shape, _ in shown} <= set(SHAPES.items())
    words = [word for _, _, word in shown]
    assert all(words)
    assert len(words) == len(set(words))


def test_every_tone_has_a_shape_and_every_outcome_and_alarm_a_word_of_its_own() -> None:
    assert len(set(SHAPES.values())) == len(SHAPES)
    for states in (OUTCOMES, ALARMS):
        assert len({sign.word for sign in states.values()}) == len(states)
