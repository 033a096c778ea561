"""A traveller says all that the hands at the stations need, and nothing of it is cut off or printed over."""

import re
import subprocess
import sys
from io import BytesIO
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from shared.codes import CodeType, grouped, make
from shared.words import LANGUAGES, Words
from tests.tickets.paper import first_page, pages, pixels, printed, text_of, words
from tests.tickets.samples import DARK, ENDLESS, LONG, TWO_SIDES, hard_tickets, named, ticket
from tickets.kit.box import MM, Box
from tickets.kit.paper import PAPERS, Paper
from tickets.traveller import Placed, travellers

all_papers = pytest.mark.parametrize("paper", PAPERS.values(), ids=list(PAPERS))
all_languages = pytest.mark.parametrize("language", LANGUAGES)
LABEL = PAPERS["label-100x150"]


def flat(**more: Any) -> str:
    """The words of one ticket, on one line."""
    return " ".join(text_of(printed([ticket(**more)], LABEL)).split())


def test_it_names_job_customer_due_time_item_colour_size_and_design() -> None:
    said = flat()
    for fact in ("J0001", "Harbour rowing club", "Wed 2 Dec 2026, 16:00", "heavy tee", "navy", "2XL", "oars"):
        assert fact in said


def test_it_says_which_piece_of_how_many_it_is() -> None:
    assert re.search(r"piece 3 ?of 26", flat())


def test_it_lists_the_steps_in_order_with_their_settings() -> None:
    said = flat()
    order = [said.index(f"{n} {step.key}") for n, step in enumerate(DARK, start=1)]
    assert order == sorted(order)
    assert "platen adult · 24 g" in said
    assert "2 passes" in said
    assert "165 °C · cover parchment · 180 s" in said


@all_papers
def test_twelve_steps_of_two_sides_are_all_there_with_their_cover_sheets(paper: Paper) -> None:
    piece = ticket(steps=TWO_SIDES, remake_of=make(CodeType.PIECE, 2), artwork=Path("none.png"))
    said = " ".join(text_of(printed([piece], paper)).split())
    for step in TWO_SIDES:
        assert step.label in said
    assert said.count("165 °C · cover parchment · 180 s") == 2


def test_a_route_that_is_too_long_says_how_many_steps_are_not_shown() -> None:
    said = flat(steps=ENDLESS)
    shown = len(re.findall(r"\d+ (?:pretreat|underlayer|inspect|colour|cure|pack) ?pl", said))
    assert f"… and {len(ENDLESS) - shown} more steps" in said


def test_a_remake_says_what_it_replaces() -> None:
    replaced = make(CodeType.PIECE, 77)
    assert f"REMAKE of {grouped(replaced)}" in flat(remake_of=replaced)
    assert "REMAKE" not in flat()


def test_it_carries_the_cautions() -> None:
    said = flat()
    for caution in ("burns and pinches", "Ventilate", "safety data", "not food-safe", "makers' instructions"):
        assert caution in said


def ink_of(**more: Any) -> float:
    """The share of the page that is black."""
    image = pixels(first_page([ticket(**more)], LABEL), 203.2)
    return float((image < 128).mean())


def test_the_shade_of_the_garment_shows_across_the_room() -> None:
    assert ink_of(shade="dark") > 1.5 * ink_of(shade="light")


def test_label_printers_get_black_and_white_and_nothing_between(picture: Path) -> None:
    """Grey only where an edge of a letter or of the picture falls within a dot of the raster."""
    image = pixels(first_page([ticket(artwork=picture)], LABEL), 203.2)
    assert ((image > 100) & (image < 156)).mean() < 0.01


def test_a_picture_that_many_tickets_show_is_embedded_once(picture: Path) -> None:
    pdf = printed([ticket(n, artwork=picture) for n in range(50)], PAPERS["a4-4up"])
    assert pdf.count(b"/Subtype /Image") == 1


def test_a_picture_in_two_shades_of_garment_is_embedded_for_each(picture: Path) -> None:
    pdf = printed([ticket(n, artwork=picture, shade=("dark", "light")[n % 2]) for n in range(8)], LABEL)
    assert pdf.count(b"/Subtype /Image") == 2


@pytest.mark.parametrize("content", [None, b"", b"\x89PNG\r\n\x1a\n broken", b"GIF89a"])
def test_without_a_good_picture_the_ticket_is_printed_with_a_note(content: bytes | None, tmp_path: Path) -> None:
    path = tmp_path / "artwork.png"
    if content is not None:
        path.write_bytes(content)
    said = flat(artwork=path)
    assert "picture missing" in said
    assert "2XL" in said


def test_a_viewer_is_told_not_to_scale() -> None:
    assert b"/PrintScaling /None" in printed([ticket()], LABEL)


def test_the_file_says_what_it_is() -> None:
    import pypdfium2

    with pypdfium2.PdfDocument(printed([ticket(1), ticket(2, job="J0002")], LABEL)) as document:
        said = document.get_metadata_dict()
    assert said["Title"] == "Travellers J0001, J0002"
    assert said["Author"] == "Kittiwake Print Room"
    assert said["Creator"] == "piecewalk"


@all_papers
def test_the_same_tickets_are_the_same_bytes(paper: Paper, picture: Path) -> None:
    assert printed(hard_tickets(picture), paper) == printed(hard_tickets(picture), paper)


def test_the_same_tickets_are_the_same_bytes_on_another_day_in_another_process() -> None:
    script = (
        "import hashlib; from tests.tickets.paper import printed; from tests.tickets.samples import *;"
        "from tickets.kit.paper import PAPERS;"
        "print(hashlib.sha256(printed([named(1, LONG), ticket(2)], PAPERS['a6'])).hexdigest())"
    )
    digests = {
        subprocess.run(
            [sys.executable, "-c", script],
            env={"PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(Path(__file__).parents[2])},
            capture_output=True,
            text=True,
            check=True,
            timeout=60,
        ).stdout
        for seed, zone in (("1", "UTC"), ("2", "Asia/Tokyo"))
    }
    assert len(digests) == 1


@pytest.mark.parametrize(("name", "page_count"), [("a4-4up", 2), ("label-4x6", 5)])
def test_five_tickets_take_as_many_pages_as_they_must(name: str, page_count: int) -> None:
    assert len(list(pages(printed([ticket(n) for n in range(5)], PAPERS[name])))) == page_count


def test_no_tickets_are_a_programming_error() -> None:
    with pytest.raises(ValueError, match="nothing"):
        travellers([], LABEL, BytesIO())


def cell_of(box: Box, paper: Paper) -> Box:
    """The inside of the cell that the middle of a box lies in."""
    x, y = box.x + box.width / 2, box.y + box.height / 2
    cell = next(c for c in paper.cells() if c.x <= x <= c.right and c.y <= y <= c.top)
    return cell.inset((paper.margin_mm - 0.4) * MM)


def inside(box: Box, cell: Box) -> bool:
    return box.x >= cell.x and box.right <= cell.right and box.y >= cell.y and box.top <= cell.top


def overprinted(one: Box, other: Box) -> bool:
    """Whether the ink of two texts shares more than the overhang of a letter."""
    across = min(one.right, other.right) - max(one.x, other.x)
    down = min(one.top, other.top) - max(one.y, other.y)
    return across > 0.6 and down > 0.3


@all_papers
@all_languages
def test_no_word_leaves_its_cell_or_is_printed_over_another(paper: Paper, language: str, picture: Path) -> None:
    for page in pages(printed(hard_tickets(picture), paper, Words(language))):
        found = words(page)
        assert found
        assert [text for text, box in found if not inside(box, cell_of(box, paper))] == []
        crossed = [(a, b) for (a, one), (b, other) in combinations(found, 2) if overprinted(one, other)]
        assert crossed == []


def test_a_name_that_is_cut_ends_in_an_ellipsis() -> None:
    said = " ".join(text_of(printed([named(1, LONG + LONG + LONG)], LABEL)).split())
    assert said.count("…") >= 4


@all_papers
@all_languages
def test_of_an_ordinary_ticket_nothing_is_cut_in_any_language(paper: Paper, language: str) -> None:
    hardest = ticket(steps=TWO_SIDES, remake_of=make(CodeType.PIECE, 77), artwork=Path("none.png"))
    said = text_of(printed([ticket(), hardest], paper, Words(language)))
    assert "2XL" in said
    assert "…" not in said


def test_a_german_ticket_has_no_english_caption_and_says_so_of_itself() -> None:
    hardest = ticket(steps=ENDLESS, remake_of=make(CodeType.PIECE, 77), artwork=Path("none.png"))
    pdf = printed([hardest], LABEL, Words("de"))
    said = " ".join(text_of(pdf).split())
    for word in ("fällig", "ERSATZ für", "dunkel", "für Harbour", "Stück", "von 26", "Bild fehlt", "siehe Bildschirm"):
        assert word in said
    for word in ("due", "REMAKE", "dark", "for Harbour", "piece", " of ", "missing", "steps", "Ventilate"):
        assert word not in said
    assert b"/Lang (de)" in pdf


def test_a_name_of_a_hundred_letters_is_whole_where_it_matters() -> None:
    said = " ".join(text_of(printed([ticket(design=LONG, customer=LONG, colour=LONG)], LABEL)).split())
    assert said.count("Friends of Harbours e.V.") == 3


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(text=st.text(max_size=120) | st.text("\ud800\u0590א\u202e\x00 a"), paper=st.sampled_from(list(PAPERS.values())))
def test_no_name_whatever_stops_a_ticket(text: str, paper: Paper) -> None:
    assert printed([named(1, text), ticket(2, shade=text)], paper).startswith(b"%PDF")


def coloured(path: Path, colour: tuple[int, int, int]) -> Path:
    Image.new("RGB", (300, 300), colour).save(path)
    return path


def test_a_piece_of_two_places_shows_each_with_its_picture_in_the_order_of_the_route(tmp_path: Path) -> None:
    red, blue = coloured(tmp_path / "red.png", (230, 0, 0)), coloured(tmp_path / "blue.png", (0, 0, 230))
    prints = (Placed(place="back", size="80 × 80 mm", artwork=red), Placed(place="front", artwork=blue))
    page = first_page([ticket(prints=prints, steps=TWO_SIDES)], PAPERS["a6"])
    image = np.asarray(page.render(scale=2).to_pil().convert("RGB")).astype(int)
    reds, blues = (image[..., channel] - image[..., 2 - channel] > 150 for channel in (0, 2))
    assert reds.sum() > 1_000 < blues.sum()
    assert np.nonzero(reds)[1].max() < np.nonzero(blues)[1].min()
    named = {text.strip(): box.x for text, box in words(page)}
    assert named["back"] < named["front"]


@all_papers
def test_four_places_are_all_shown(paper: Paper, picture: Path) -> None:
    places = ("front", "back", "left sleeve", "right sleeve")
    said = text_of(printed([ticket(prints=tuple(Placed(place=place, artwork=picture) for place in places))], paper))
    assert all(place in said for place in places)
    assert "picture missing" not in said
