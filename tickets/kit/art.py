"""The corner of a ticket that shows the artwork, read once and embedded once however many tickets show it.

Never reads a file twice for one document.
"""

from pathlib import Path

from reportlab.lib.utils import ImageReader

from tickets.kit.box import MM, Box
from tickets.kit.pen import Pen
from tickets.kit.picture import small_picture

PICTURE_DPI_MAX = 200
"""More than that nobody sees at arm's length, and it costs space in the file."""


class ArtCorner:
    """Draws artwork into corners of tickets of one document."""

    def __init__(self) -> None:
        self._forms: dict[tuple[Path, str, Box], str | None] = {}

    def draw(self, pen: Pen, box: Box, path: Path, shade: str) -> None:
        """The picture in the middle of a box of the garment's shade, or a note that there is none."""
        frame = Box(0, 0, box.width, box.height)
        key = (path, shade, frame)
        if key not in self._forms:
            self._forms[key] = self._embedded(pen, frame, path, shade, f"artwork{len(self._forms)}")
        form = self._forms[key]
        if form is None:
            pen.outlined(box, 0.25)
            pen.words(box.inset(1.5 * MM), pen.say("picture missing"), "regular", size=9, lines=2, align="middle")
            return
        if shade == "dark":
            pen.filled(box)
        else:
            pen.outlined(box, 0.25)
        pen.canvas.saveState()
        pen.canvas.translate(pen.across(box.x), pen.down(box.top) - box.height)
        pen.canvas.doForm(form)
        pen.canvas.restoreState()

    def _embedded(self, pen: Pen, frame: Box, path: Path, shade: str, name: str) -> str | None:
        room = frame.inset(0.75 * MM)
        pixel = max(pen.dot, 72 / PICTURE_DPI_MAX)
        image = small_picture(path, (int(room.width / pixel), int(room.height / pixel)), shade, mono=pen.paper.mono)
        if image is None:
            return None
        at = room.middle(image.width * pixel, image.height * pixel)
        x, y = round(at.x / pen.dot) * pen.dot, frame.height - round((frame.height - at.y) / pen.dot) * pen.dot
        pen.canvas.beginForm(name, 0, 0, frame.width, frame.height)
        pen.canvas.drawImage(ImageReader(image), x, y, at.width, at.height)
        pen.canvas.endForm()
        return name
