"""Bring the tables of a ledger to the shape that this program knows, when it is opened.

Never touches a ledger that a newer program has already changed.
"""

from pathlib import Path

from sqlalchemy import Connection, inspect, text

from floor.ledger.errors import TooNew

newest = "0001"
"""The last revision in migrations/versions."""
_script = Path(__file__).with_name("migrations")


def revision(connection: Connection) -> str | None:
    """The revision of a ledger's tables, None for a new one."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found: str | None = connection.scalar(text("SELECT version_num FROM alembic_version"))
    return found


def upgrade(connection: Connection) -> None:
    """Upgrade inside the transaction of `connection`, which must hold the write lock. Raises TooNew."""
    found = revision(connection)
    if found == newest:
        return
    _upgrade(connection, found)


def _upgrade(connection: Connection, found: str | None) -> None:
    # Alembic takes a quarter of a second to import: only a new or an old ledger pays for it.
    from alembic import command
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(_script).replace("%", "%%"))
    config.attributes["connection"] = connection
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    if found is not None and found not in known:
        raise TooNew(f"the ledger has revision {found}, this program knows {newest}: install the newer piecewalk")
    command.upgrade(config, "head")
