"""Pictures from files, in whatever way their colours are written."""

import struct
import zlib
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from floor.ink import picture
from floor.ink.coverage import coverage
from floor.ink.picture import PIXELS_MAX, read_picture
from shared.files.problems import ProblemsFound
from tests.floor.ink.drawn import Planes, colour_of, images, read, saved, solid, whole

RED = (200, 30, 40)
SIGNATURE = b"\x89PNG\r\n\x1a\n"


def png(width: int, height: int, bits: int, kind: int, data: bytes, *more: tuple[bytes, bytes]) -> bytes:
    """A PNG as it is written by hand, for what pillow does not write."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, bits, kind, 0, 0, 0)
    chunks = (chunk(b"IHDR", head), *(chunk(*each) for each in more), chunk(b"IDAT", zlib.compress(data)))
    return SIGNATURE + b"".join(chunks) + chunk(b"IEND", b"")


# What is read


@pytest.mark.parametrize(("form", "options"), [("PNG", {}), ("TIFF", {}), ("TIFF", {"compression": "tiff_lzw"})])
def test_colours_come_as_they_are(form: str, options: dict[str, Any]) -> None:
    assert colour_of(read(solid("RGB", RED), form, **options)) == (*RED, 255)


def test_colours_of_a_jpeg_come_nearly_as_they_are() -> None:
    assert colour_of(read(solid("RGB", RED), "JPEG", quality=95)) == pytest.approx((*RED, 255), abs=3)


@pytest.mark.parametrize("form", ["PNG", "TIFF"])
def test_alpha_comes_with_its_colours(form: str) -> None:
    assert colour_of(read(solid("RGBA", (*RED, 77)), form)) == (*RED, 77)


@given(images)
def test_every_pixel_of_a_picture_comes_once_and_in_its_place(planes: Planes) -> None:
    assert (whole(read(Image.fromarray(planes))) == planes).all()


@pytest.mark.parametrize(
    ("mode", "colour", "seen"),
    [
        ("1", 1, (255, 255, 255, 255)),
        ("L", 90, (90, 90, 90, 255)),
        ("LA", (90, 40), (90, 90, 90, 40)),
        ("I;16", 90 * 256 + 255, (90, 90, 90, 255)),
    ],
)
def test_greys_come_as_colours(mode: str, colour: Any, seen: tuple[int, ...]) -> None:
    assert colour_of(read(solid(mode, colour))) == seen


def test_greys_of_16_bits_in_a_tiff_come_as_colours() -> None:
    assert colour_of(read(solid("I;16", 90 * 256), "TIFF")) == (90, 90, 90, 255)


def test_colours_of_16_bits_come_as_8() -> None:
    row = b"\0" + struct.pack(">3H", 0xC800, 0x1EFF, 0x2800)
    assert colour_of(read_picture(BytesIO(png(1, 1, 16, 2, row)))) == (0xC8, 0x1E, 0x28, 255)


def test_a_palette_with_a_clear_entry_comes_with_alpha() -> None:
    palette = solid("RGB", RED).quantize(2)
    assert colour_of(read(palette)) == (*RED, 255)
    assert colour_of(read(palette, transparency=palette.getpixel((0, 0))))[3] == 0


def test_a_colour_that_stands_for_clear_comes_as_alpha() -> None:
    assert colour_of(read(solid("RGB", RED), transparency=RED)) == (*RED, 0)
    row = b"\0" + struct.pack(">2H", 0x5A00, 0x5A01)
    key = (b"tRNS", struct.pack(">H", 0x5A01))
    assert whole(read_picture(BytesIO(png(2, 1, 16, 0, row, key))))[0, :, 3].tolist() == [255, 0]


@pytest.mark.parametrize("form", ["TIFF", "JPEG"])
def test_cmyk_comes_as_the_colours_it_prints(form: str) -> None:
    assert colour_of(read(solid("CMYK", (0, 255, 255, 0)), form)) == pytest.approx((255, 0, 0, 255), abs=3)
    assert colour_of(read(solid("CMYK", (0, 0, 0, 255)), form)) == pytest.approx((0, 0, 0, 255), abs=3)


def test_the_first_picture_of_a_file_counts() -> None:
    pages = saved(solid("RGB", RED), "TIFF", save_all=True, append_images=[solid("RGB", (0, 0, 0))])
    assert colour_of(read_picture(pages)) == (*RED, 255)


def lying(orientation: int) -> picture.Picture:
    """A picture of a pale field with a red left half, 8 by 6, written with an orientation."""
    image = solid("RGB", (240, 240, 240))
    ImageDraw.Draw(image).rectangle((0, 0, 3, 5), fill=RED)
    exif = Image.Exif()
    exif[0x0112] = orientation
    return read(image, exif=exif)


@pytest.mark.parametrize(("orientation", "size"), [(1, (8, 6)), (3, (8, 6)), (6, (6, 8)), (8, (6, 8))])
def test_a_picture_is_measured_as_it_is_looked_at(orientation: int, size: tuple[int, int]) -> None:
    assert lying(orientation).size_px == size


def test_how_a_picture_lies_changes_nothing_of_its_ink() -> None:
    assert len({coverage(lying(orientation).patches(), None) for orientation in range(1, 9)}) == 1


@pytest.mark.parametrize(("orientation", "red_at"), [(1, (0, 2)), (2, (7, 2)), (3, (7, 2)), (6, (2, 0)), (8, (2, 7))])
def test_a_small_picture_stands_upright(orientation: int, red_at: tuple[int, int]) -> None:
    upright = lying(orientation)
    assert upright.small(upright.size_px).getpixel(red_at) == (*RED, 255)


def test_a_small_picture_has_the_size_that_was_asked_for() -> None:
    assert lying(6).small((30, 50)).size == (30, 50)


@pytest.mark.parametrize("pixels", [1, 3, 8, 20, 1000])
def test_a_large_picture_comes_in_patches(pixels: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(picture, "PATCH_PIXELS", pixels)
    seen = np.concatenate([each.red.ravel() for each in read(Image.linear_gradient("L").resize((8, 6))).patches()])
    assert sorted(seen) == sorted(np.asarray(Image.linear_gradient("L").resize((8, 6))).ravel())
    assert len(seen) == 48


# What is refused


def said_of(source: Path | BytesIO) -> str:
    with pytest.raises(ProblemsFound) as refused:
        read_picture(source)
    (problem,) = refused.value.problems
    assert "PNG, JPEG or TIFF" in problem.allowed
    return problem.found


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(ProblemsFound) as refused:
        read_picture(tmp_path / "oars.png")
    (problem,) = refused.value.problems
    assert (problem.where, problem.found) == (str(tmp_path / "oars.png"), "no such file")


def test_a_folder_is_no_picture(tmp_path: Path) -> None:
    assert said_of(tmp_path) == "a folder"


@pytest.mark.parametrize("data", [b"", b"hello", SIGNATURE, b"\xff\xd8\xff", b"II*\0", b"%PDF-1.7"])
def test_what_is_no_picture_is_refused(data: bytes) -> None:
    assert "picture" in said_of(BytesIO(data))


def test_a_picture_of_another_format_is_refused() -> None:
    assert said_of(saved(solid("RGB", RED), "GIF")) == "no picture that can be read"


@pytest.mark.parametrize("form", ["PNG", "JPEG"])
def test_a_picture_that_breaks_off_is_refused(form: str) -> None:
    noise = Image.effect_noise((90, 90), 80).convert("RGB")
    data = saved(noise, form).getvalue()
    assert said_of(BytesIO(data[: len(data) // 2])).startswith("a broken picture")


def test_numbers_without_a_scale_are_no_colours() -> None:
    assert said_of(saved(solid("F", 0.5), "TIFF")) == "colours written as F"


@pytest.mark.parametrize("side", [9_500, 60_000])
def test_a_picture_that_would_fill_the_memory_is_refused_before_it_is_unpacked(side: int) -> None:
    bomb = png(side, side, 8, 6, bytes(1000))
    assert len(bomb) < 200
    assert said_of(BytesIO(bomb)) == f"a picture of more than {PIXELS_MAX // 1_000_000} million pixels"


SOUND: tuple[Callable[[], BytesIO], ...] = (
    lambda: saved(solid("RGBA", (*RED, 77)), "PNG"),
    lambda: saved(solid("RGB", RED).quantize(4), "PNG", transparency=0),
    lambda: saved(solid("RGB", RED), "JPEG"),
    lambda: saved(solid("CMYK", (9, 8, 7, 6)), "TIFF"),
    lambda: saved(solid("RGB", RED), "TIFF", compression="tiff_deflate"),
)


@settings(max_examples=300)
@given(sound=st.sampled_from(SOUND), data=st.data())
def test_a_damaged_file_is_read_or_refused_and_nothing_else(sound: Callable[[], BytesIO], data: st.DataObject) -> None:
    damaged = bytearray(sound().getvalue())
    for at in data.draw(st.lists(st.integers(0, len(damaged) - 1), min_size=1, max_size=6)):
        damaged[at] = data.draw(st.integers(0, 255))
    try:
        survivor = read_picture(BytesIO(damaged[: data.draw(st.integers(0, len(damaged)))]))
    except ProblemsFound:
        return
    assert 0 <= coverage(survivor.patches(), None).colour <= 3
