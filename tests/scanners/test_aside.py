"""What a bench cannot use is kept for a person, but not without end."""

from pathlib import Path

from scanners.aside import FILE_BYTES_MAX as ASIDE_BYTES_MAX
from scanners.aside import Aside
from tests.scanners.rig import NOON


def test_what_is_set_aside_does_not_grow_without_end(tmp_path: Path) -> None:
    aside = Aside(tmp_path / "spool.bad")
    with aside.path.open("wb") as file:
        file.truncate(ASIDE_BYTES_MAX + 1)
    aside.add([b"a record"], "damaged", NOON)
    assert aside.path.stat().st_size < 200
    assert (tmp_path / "spool.bad.old").stat().st_size == ASIDE_BYTES_MAX + 1
