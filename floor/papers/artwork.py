"""Pictures of a job are kept in the shop folder, so that its travellers can be printed again whatever becomes of the
job file's folder.

Never changes a picture.
"""

from hashlib import sha256
from pathlib import Path

from shared.files.jobfile import JobFile, JobLine, Print

KEPT_IN = "artwork"


def keep_artwork(job: JobFile, source: Path, shop_folder: Path) -> JobFile:
    """The job with each picture copied to the shop folder, named by its content; paths are relative to that folder."""
    return job.model_copy(update={"lines": [_line(line, source, shop_folder) for line in job.lines]})


def _line(line: JobLine, source: Path, shop_folder: Path) -> JobLine:
    return line.model_copy(update={"prints": [_print(each, source, shop_folder) for each in line.prints]})


def _print(each: Print, source: Path, shop_folder: Path) -> Print:
    if each.artwork is None:
        return each
    picture = (source / each.artwork).read_bytes()
    kept = Path(KEPT_IN) / f"{sha256(picture).hexdigest()[:16]}{Path(each.artwork).suffix.lower()}"
    (shop_folder / KEPT_IN).mkdir(exist_ok=True)
    if not (shop_folder / kept).exists():
        (shop_folder / kept).write_bytes(picture)
    return each.model_copy(update={"artwork": kept.as_posix()})
