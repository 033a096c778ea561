"""A picture for the tests to print."""

from pathlib import Path

import pytest
from PIL import Image, ImageDraw


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    """Artwork as designers send it: large, with nothing behind it."""
    image = Image.new("RGBA", (1200, 1300), (0, 0, 0, 0))
    ImageDraw.Draw(image).ellipse((100, 200, 1100, 1200), fill=(230, 60, 40, 255))
    image.save(tmp_path / "oars.png")
    return tmp_path / "oars.png"
