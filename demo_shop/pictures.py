"""The README's pictures, as the demo makes them: a traveller, the walls, a station, the week's first page.

    python -m demo_shop.pictures [DIR]

Never shows what the demo does not show.
"""

import sys
import tempfile
from datetime import datetime
from io import BytesIO
from pathlib import Path
from urllib.parse import quote

import pypdfium2
from msgspec.structs import replace
from PIL import Image, ImageDraw, ImageFont
from rich.color import Color
from rich.console import Console, RenderableType
from rich.segment import Segment
from rich.style import Style

from demo_shop.command import DEFAULT_SEED
from demo_shop.page_pictures import page_pictures
from demo_shop.scene import Scene
from demo_shop.staging import Outcome, perform
from floor.core.figures.week import week_report
from floor.core.plan.board import board
from floor.reports.pdf import write_pdf
from floor.wall.terminal import draw
from shared.events.base import Event
from shared.events.floor import AlarmKind, AlarmRaised
from tickets.kit.fonts import FOLDER as FONTS

SHOWN: AlarmKind = "opened too early"
"""The wall is shown while it tells of this."""
COLUMNS, ROWS = 100, 24
CELL = (9, 18)
LETTERS, BOLD = (ImageFont.truetype(FONTS / f"DejaVuSansMono{weight}.ttf", 15) for weight in ("", "-Bold"))
"""Nine pixels a letter at this size: the width of a cell."""
MARGIN = 12
BLOCKS = {"█": (0.0, 1.0), "▀": (0.0, 0.5), "▄": (0.5, 1.0), "─": (0.47, 0.53)} | {
    char: (1 - n / 8, 1.0) for n, char in enumerate("▁▂▃▄▅▆▇", start=1)
}
"""Characters that must meet their neighbours: from where to where of a cell's height they are filled."""
WHITE, BLACK = (230, 230, 230), (0, 0, 0)
TRAVELLER_SCALE = 1.5


def telling_moment(outcome: Outcome) -> tuple[datetime, str]:
    """A moment when something needs a person, and the station at which it does."""
    with outcome.folder.ledger() as ledger:
        found = next((row.recorded_at, row.event) for row in ledger.rows() if _tells(row.event))
    at, alarm = found
    assert isinstance(alarm, AlarmRaised)
    return at, alarm.at_station or ""


def wall_picture(outcome: Outcome, at: datetime) -> Image.Image:
    """The wall in a terminal."""
    shop = outcome.folder.shop
    return _screen(draw(board(outcome.folder.floor(at), shop, at), shop, COLUMNS, ROWS))


def _tells(event: Event) -> bool:
    return isinstance(event, AlarmRaised) and event.alarm == SHOWN


def _screen(what: RenderableType) -> Image.Image:
    """What a terminal would show, a cell for each character."""
    console = Console(width=COLUMNS, height=ROWS, color_system="truecolor", force_terminal=True, _environ={})
    image = Image.new("RGB", (COLUMNS * CELL[0] + 2 * MARGIN, ROWS * CELL[1] + 2 * MARGIN), BLACK)
    pen = ImageDraw.Draw(image)
    lines = console.render_lines(what, pad=False)[:ROWS]
    for paint in (_paper, _ink):  # all the grounds first: a letter may reach into the cell beside it
        for row, line in enumerate(lines):
            cells = [(char, style or Style()) for text, style, _ in Segment.filter_control(line) for char in text]
            for column, (char, style) in enumerate(cells):
                paint(pen, MARGIN + column * CELL[0], MARGIN + row * CELL[1], char, style)
    return image


def _paper(pen: ImageDraw.ImageDraw, x: float, y: float, char: str, style: Style) -> None:
    _, paper = _colours(style)
    pen.rectangle((x, y, x + CELL[0] - 1, y + CELL[1] - 1), fill=paper)


def _ink(pen: ImageDraw.ImageDraw, x: float, y: float, char: str, style: Style) -> None:
    ink, _ = _colours(style)
    width, height = CELL
    if char in BLOCKS:
        top, bottom = BLOCKS[char]
        pen.rectangle((x, y + round(top * height), x + width - 1, y + round(bottom * height) - 1), fill=ink)
    elif not char.isspace():
        pen.text((x, y + height * 0.76), char, fill=ink, font=BOLD if style.bold else LETTERS, anchor="ls")


def _colours(style: Style) -> tuple[tuple[int, int, int], tuple[int, int, int]]:
    ink, paper = _rgb(style.color, WHITE), _rgb(style.bgcolor, BLACK)
    return (paper, ink) if style.reverse else (ink, paper)


def _rgb(color: Color | None, otherwise: tuple[int, int, int]) -> tuple[int, int, int]:
    return otherwise if color is None or color.is_default else color.get_truecolor()


def traveller_picture(outcome: Outcome) -> Image.Image:
    """The first traveller of the first job."""
    with pypdfium2.PdfDocument(outcome.orders[0].travellers) as pdf:
        picture: Image.Image = pdf[0].render(scale=TRAVELLER_SCALE, grayscale=True).to_pil()
        return picture


def week_picture(outcome: Outcome) -> Image.Image:
    """The first page of the week's report."""
    shop, now = outcome.folder.shop, outcome.folder.clock.now()
    found = week_report(outcome.folder.floor(), shop, shop.hours.week_of(now), now)
    out = BytesIO()
    write_pdf(replace(found, anchor=outcome.folder.anchor()), shop, out)
    with pypdfium2.PdfDocument(out.getvalue()) as pdf:
        picture: Image.Image = pdf[0].render(scale=1.2).to_pil()
        return picture


def main(folder: Path) -> None:
    """Play a day, and put the pictures into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as shop:
        outcome = perform(Path(shop) / "shop", DEFAULT_SEED, Scene(Console(quiet=True), moving=False))
        at, station = telling_moment(outcome)
        wall_picture(outcome, at).quantize(24).save(folder / "wall.png", optimize=True)
        week_picture(outcome).quantize(64).save(folder / "week.png", optimize=True)
        pages = {"wall-page": "/wall", "station-page": f"/station/{quote(station)}"}
        for name, picture in page_pictures(outcome.folder, at, pages):
            picture.quantize(48).save(folder / f"{name}.png", optimize=True)
        traveller_picture(outcome).quantize(16).save(folder / "traveller.png", optimize=True)


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else ".pictures"))
