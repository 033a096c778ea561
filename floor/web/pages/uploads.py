"""A job file with its artwork, as a form brings them.

Never opens a file of this machine that the form did not bring.
"""

from collections.abc import Collection, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from starlette.datastructures import FormData, UploadFile

from floor.papers.artwork import keep_artwork
from shared.files.jobfile import JobFile, parse_job
from shared.files.problems import Problem, ProblemsFound, parse_toml
from shared.files.shop import Shop
from shared.files.tomltext import shown_text

JOB_FILE = "job.toml"
NAME_MAX = 60
"""In UTF-8 that is a name that every file system takes."""


async def uploads_of(form: FormData) -> dict[str, bytes]:
    """The files of a form by their names: the job file, and the pictures; the form is closed. Raises ValueError."""
    try:
        return await _read(form)
    finally:
        await form.close()


async def _read(form: FormData) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    for field, value in form.multi_items():
        if isinstance(value, UploadFile) and value.filename:
            name = JOB_FILE if field == "job" else _plain_name(value.filename)
            files[name] = await value.read()
    if JOB_FILE not in files:
        raise ValueError("There is no job file. Choose one.")
    return files


def _plain_name(name: str) -> str:
    plain = Path(name.replace("\\", "/")).name
    if plain in {"", ".", "..", JOB_FILE} or not plain.isprintable() or len(plain) > NAME_MAX:
        raise ValueError(f"{shown_text(plain)} is no name for a picture. Rename the file.")
    return plain


def order_of(files: dict[str, bytes], shop: Shop, shop_folder: Path) -> JobFile:
    """The job, its ink estimated, its pictures kept in the shop's folder.

    Raises ProblemsFound: everything that is wrong in the file, or every picture that is missing or cannot be used.
    """
    from floor.ink.filling import fill_ink  # pictures bring much with them

    order = parse_job(parse_toml(files[JOB_FILE], JOB_FILE), shop, file=JOB_FILE)
    pictures = {name: content for name, content in files.items() if name != JOB_FILE}
    if missing := list(_not_sent(order, pictures)):
        raise ProblemsFound(missing)
    with TemporaryDirectory() as name:
        folder = Path(name)
        for file, content in pictures.items():
            (folder / file).write_bytes(content)
        return keep_artwork(fill_ink(order, shop, folder), folder, shop_folder)


def _not_sent(order: JobFile, pictures: Collection[str]) -> Iterator[Problem]:
    for n, line in enumerate(order.lines):
        for m, each in enumerate(line.prints):
            if each.artwork is not None and each.artwork not in pictures:
                yield Problem(
                    where=f"{JOB_FILE}: lines[{n}].prints[{m}].artwork",
                    found=f"{shown_text(each.artwork)}, which was not sent with it",
                    allowed="a picture that is sent with the job file, by its name without a folder",
                    do="Choose it too, or leave the key out",
                )
