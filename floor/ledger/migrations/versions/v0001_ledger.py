"""The ledger and its head.

Never imports the program's own tables: a migration must still do tomorrow what it did today.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Create the tables."""
    number = sa.BigInteger().with_variant(sa.Integer, "sqlite")
    op.create_table(
        "ledger",
        sa.Column("seq", number, primary_key=True, autoincrement=False),
        sa.Column("stream", sa.Text, nullable=False),
        sa.Column("version", number, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("occurred_at", number, nullable=False),
        sa.Column("recorded_at", number, nullable=False),
        sa.Column("read_id", sa.Text),
        sa.Column("station", sa.Text),
        sa.Column("badge", sa.Text),
        sa.Column("device", sa.Text),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("body_version", number, nullable=False),
        sa.Column("hash", sa.Text, nullable=False),
        sa.UniqueConstraint("stream", "version", name="ledger_stream_version"),
        sa.UniqueConstraint("read_id", name="ledger_read_id"),
    )
    op.create_table(
        "ledger_head",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("seq", number, nullable=False),
        sa.Column("hash", sa.Text, nullable=False),
        sa.CheckConstraint("id = 1", name="ledger_head_one_row"),
    )
    op.execute("INSERT INTO ledger_head (id, seq, hash) VALUES (1, 0, '')")
