"""What bars are filled with: a colour, and a hatching that says the same without it.

Never tells two things apart by colour alone: each paint is another one in black and white too.
"""

from typing import Any, Literal

from msgspec import Struct
from reportlab.lib.colors import HexColor

from tickets.kit.box import MM, Box
from tickets.kit.pen import Pen

Hatch = Literal["none", "rising", "falling"]
Point = tuple[float, float]


class Paint(Struct, frozen=True):
    """A colour, of the palette of Okabe and Ito (Color Universal Design), or white, and the lines drawn over it."""

    colour: str
    hatch: Hatch = "none"


PLANNED = Paint("#FFFFFF")
SPENT = Paint("#0072B2")
ADVERSE = Paint("#E69F00", "rising")
FAVOURABLE = Paint("#C7E5F5", "falling")

HATCH_GAP = 1.1 * MM
LINE_MM = 0.18


def fill(pen: Pen, box: Box, paint: Paint) -> None:
    """A box filled with a paint and outlined in black; nothing where it has no width."""
    if box.width <= 0:
        return
    canvas = pen.canvas
    canvas.saveState()
    canvas.setFillColor(HexColor(paint.colour))
    canvas.rect(box.x, box.y, box.width, box.height, stroke=0, fill=1)
    canvas.setStrokeGray(0)
    if paint.hatch != "none":
        _hatch(canvas, box, paint.hatch)
    canvas.setLineWidth(LINE_MM * MM)
    canvas.rect(box.x, box.y, box.width, box.height, stroke=1, fill=0)
    canvas.restoreState()


def _hatch(canvas: Any, box: Box, hatch: Hatch) -> None:
    """Diagonals over a box, at places of the page and not of the box, so that boxes that touch look alike."""
    canvas.saveState()
    clip = canvas.beginPath()
    clip.rect(box.x, box.y, box.width, box.height)
    canvas.clipPath(clip, stroke=0, fill=0)
    canvas.setLineWidth(LINE_MM * MM)
    lean = box.height if hatch == "rising" else -box.height
    first = int((box.x - box.height) / HATCH_GAP)
    for n in range(first, int((box.right + box.height) / HATCH_GAP) + 1):
        x = n * HATCH_GAP
        canvas.line(x, box.y, x + lean, box.top)
    canvas.restoreState()


def line(
    pen: Pen, start: tuple[float, float], end: tuple[float, float], *, mm: float = LINE_MM, gray: float = 0
) -> None:
    """A line between two points, in black or grey."""
    pen.canvas.setStrokeGray(gray)
    pen.canvas.setLineWidth(mm * MM)
    pen.canvas.line(*start, *end)
