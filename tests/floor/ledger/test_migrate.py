"""The tables of a ledger, from the first revision to the newest."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, create_engine, text

from floor.ledger import Ledger, TooNew, make_ledger, migrate
from floor.ledger.tables import metadata
from tests.floor.ledger.facts import append, assumed


@pytest.fixture
def engine(url: str) -> Engine:
    """A way into a ledger's database past the ledger."""
    return create_engine(url)


def test_the_migrations_make_the_tables_that_the_program_uses(
    url: str, opened: Callable[[str], Ledger], engine: Engine
) -> None:
    opened(url)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_server_default": True})
        assert compare_metadata(context, metadata) == []
    engine.dispose()


def test_the_newest_revision_is_the_last_migration() -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(migrate.__file__).with_name("migrations")))
    assert ScriptDirectory.from_config(config).get_current_head() == migrate.newest


def test_a_ledger_of_a_newer_program_is_refused_and_left_alone(
    url: str, opened: Callable[[str], Ledger], engine: Engine
) -> None:
    append(opened(url), assumed(0))
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(TooNew, match=r"revision 9999.*install the newer"):
        make_ledger(url)
    with engine.begin() as connection:
        assert connection.scalar(text("SELECT version_num FROM alembic_version")) == "9999"
    engine.dispose()


def test_two_that_create_one_ledger_at_once_both_get_it(url: str) -> None:
    with ThreadPoolExecutor(2) as pool:
        first, second = pool.map(make_ledger, [url, url])
    append(first, assumed(0))
    append(second, assumed(1))
    assert first.head() == 2
    first.close()
    second.close()


def test_a_ledger_that_another_makes_between_two_looks_is_whole(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    look = migrate.revision

    def then_made_by_another(connection: Connection) -> str | None:
        monkeypatch.setattr(migrate, "revision", look)
        found = look(connection)
        make_ledger(url).close()
        return found

    monkeypatch.setattr(migrate, "revision", then_made_by_another)
    with closing(make_ledger(url)) as ledger:
        append(ledger, assumed(0))
        assert ledger.head() == 1
