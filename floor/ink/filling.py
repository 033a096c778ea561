"""A job's prints get their ink from their pictures, before the job is quoted.

Never overrules what the job file says of the ink itself.
"""

from pathlib import Path

from floor.ink.coverage import Coverage, coverage, ink_use
from floor.ink.picture import check_picture, read_picture
from floor.ink.underlayer import Garment, underlayer_on
from shared.files.jobfile import JobFile, JobLine, PicturedPrint, Print, shade_of
from shared.files.problems import Problem, ProblemsFound
from shared.files.shop import Shop


def fill_ink(job: JobFile, shop: Shop, folder: Path) -> JobFile:
    """The job with the ink of each print whose picture tells it; `folder` is where the pictures are.

    Where the job file gives millilitres or a coverage, or has no picture, a print stays as it is. Raises
    ProblemsFound with every picture that cannot be used.
    """
    filling = _Filling(shop, folder)
    lines = [filling.line(line) for line in job.lines]
    if filling.problems:
        raise ProblemsFound(dict.fromkeys(filling.problems))
    return job.model_copy(update={"lines": lines})


class _Filling:
    """Each picture is read once for each garment that it is printed on."""

    def __init__(self, shop: Shop, folder: Path) -> None:
        self.problems: list[Problem] = []
        self._shop = shop
        self._folder = folder
        self._known: dict[tuple[str, Garment], Coverage] = {}

    def line(self, line: JobLine) -> JobLine:
        looks = self._shop.item(line.item).looks(line.colour)
        garment = Garment(shade=shade_of(line, self._shop), colour=line.colour, looks=looks)
        return line.model_copy(update={"prints": [self._print(each, garment) for each in line.prints]})

    def _print(self, each: Print, garment: Garment) -> Print:
        if each.artwork is None:
            return each
        try:
            if each.coverage is not None or None not in (each.white_ml, each.colour_ml):
                check_picture(self._folder / each.artwork)  # it is kept and printed all the same
                return each
            covered = self._covered(each.artwork, garment)
        except ProblemsFound as error:
            self.problems += error.problems
            return each
        use = ink_use(covered, self._shop.file.inks, each.width_mm, each.height_mm)
        return PicturedPrint(**dict(each), by_picture_ml={"white": use.white_ml, "colour": use.colour_ml})

    def _covered(self, artwork: str, garment: Garment) -> Coverage:
        if (artwork, garment) not in self._known:
            patches = read_picture(self._folder / artwork).patches()
            underlayer = underlayer_on(garment, self._shop.file.inks.underlayer)
            self._known[artwork, garment] = coverage(patches, underlayer)
        return self._known[artwork, garment]
