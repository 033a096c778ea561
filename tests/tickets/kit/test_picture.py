"""Artwork becomes a small picture on the garment's shade; what is no picture stops nothing."""

import random
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tickets.kit.picture import small_picture


def saved(path: Path, image: Image.Image, **more: Any) -> Path:
    image.save(path, **more)
    return path


def test_it_is_made_small_and_keeps_its_shape(picture: Path) -> None:
    small = small_picture(picture, (130, 130), "light", mono=False)
    assert small is not None
    assert small.size == (120, 130)


def test_a_small_picture_is_not_blown_up(tmp_path: Path) -> None:
    small = small_picture(saved(tmp_path / "a.png", Image.new("RGB", (8, 8))), (100, 100), "light", mono=False)
    assert small is not None
    assert small.size == (8, 8)


@pytest.mark.parametrize(("shade", "corner"), [("dark", (0, 0, 0)), ("light", (255, 255, 255)), ("", (255, 255, 255))])
def test_what_is_transparent_shows_the_garment(picture: Path, shade: str, corner: tuple[int, int, int]) -> None:
    small = small_picture(picture, (100, 100), shade, mono=False)
    assert small is not None
    assert small.getpixel((0, 0)) == corner


def test_for_a_label_printer_it_is_black_dots_and_white_ones(picture: Path) -> None:
    small = small_picture(picture, (100, 100), "light", mono=True)
    assert small is not None
    assert set(np.unique(np.asarray(small))) == {0, 255}


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_every_kind_of_png_that_programs_write_is_read(mode: str, tmp_path: Path) -> None:
    path = saved(tmp_path / "a.png", Image.new(mode, (40, 30)))
    assert small_picture(path, (20, 20), "light", mono=False) is not None


@pytest.mark.parametrize("mode", ["L", "RGB", "CMYK"])
def test_jpegs_are_read_in_print_colours_too(mode: str, tmp_path: Path) -> None:
    path = saved(tmp_path / "a.jpg", Image.new(mode, (40, 30)))
    assert small_picture(path, (20, 20), "light", mono=False) is not None


def test_a_photograph_that_was_taken_sideways_is_turned_upright(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    path = saved(tmp_path / "a.jpg", Image.new("RGB", (60, 30)), exif=exif)
    small = small_picture(path, (100, 100), "light", mono=False)
    assert small is not None
    assert small.size == (30, 60)


def test_no_broken_file_raises(tmp_path: Path) -> None:
    good = saved(tmp_path / "good.png", Image.effect_noise((60, 60), 50).convert("RGBA")).read_bytes()
    chance = random.Random(7)
    for n in range(300):
        bad = bytearray(good[: chance.randrange(1, len(good))] if n % 2 else good)
        for _ in range(chance.randrange(1, 30)):
            bad[chance.randrange(len(bad))] = chance.randrange(256)
        path = tmp_path / "bad.png"
        path.write_bytes(bad)
        small_picture(path, (60, 60), "dark", mono=False)


@pytest.mark.parametrize("name", ["missing.png", "", ".", "a" * 300 + ".png"])
def test_what_is_no_file_is_no_picture(name: str, tmp_path: Path) -> None:
    assert small_picture(tmp_path / name, (60, 60), "dark", mono=False) is None


def test_a_picture_that_would_fill_the_memory_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = saved(tmp_path / "a.png", Image.new("1", (100, 100)))
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 1000)
    assert small_picture(path, (60, 60), "dark", mono=False) is None
