"""The small picture of a piece's artwork: read, turned upright, put on the garment's shade, made small.

Never stops a ticket: a picture that is missing or broken is None, and the ticket says so.
"""

from pathlib import Path

from PIL import Image, ImageOps

GROUNDS = {"dark": (0, 0, 0)}
"""What lies behind a picture that is transparent somewhere: black for a dark garment, else white, as printed."""
WHITE = (255, 255, 255)


def small_picture(path: Path, side_px: tuple[int, int], shade: str, *, mono: bool) -> Image.Image | None:
    """A PNG or JPEG file as a picture of at most so many pixels; dithered to black and white if `mono`.

    None for whatever can't be read as one, or is larger than pillow dares to unpack.
    """
    try:
        with Image.open(path, formats=("PNG", "JPEG")) as image:
            image.draft("RGB", (side_px[0] * 2, side_px[1] * 2))
            upright = ImageOps.exif_transpose(image).convert("RGBA")
    except (OSError, SyntaxError, ValueError, EOFError, Image.DecompressionBombError, Image.DecompressionBombWarning):
        return None
    upright.thumbnail(side_px, Image.Resampling.LANCZOS)
    ground = Image.new("RGBA", upright.size, GROUNDS.get(shade, WHITE))
    flat = Image.alpha_composite(ground, upright).convert("RGB")
    return flat.convert("1").convert("L") if mono else flat
