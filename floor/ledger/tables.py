"""The tables of a ledger in an SQL database, as the newest migration leaves them.

Never creates them: that is the migrations' work, so that an old ledger and a new one are the same.
"""

from sqlalchemy import BigInteger, CheckConstraint, Column, Integer, MetaData, Table, Text, UniqueConstraint

metadata = MetaData()
_number = BigInteger().with_variant(Integer, "sqlite")

ledger = Table(
    "ledger",
    metadata,
    Column("seq", _number, primary_key=True, autoincrement=False),
    Column("stream", Text, nullable=False),
    Column("version", _number, nullable=False),
    Column("kind", Text, nullable=False),
    Column("occurred_at", _number, nullable=False),
    Column("recorded_at", _number, nullable=False),
    Column("read_id", Text),
    Column("station", Text),
    Column("badge", Text),
    Column("device", Text),
    Column("body", Text, nullable=False),
    Column("body_version", _number, nullable=False),
    Column("hash", Text, nullable=False),
    UniqueConstraint("stream", "version", name="ledger_stream_version"),
    UniqueConstraint("read_id", name="ledger_read_id"),
)

ledger_head = Table(
    "ledger_head",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("seq", _number, nullable=False),
    Column("hash", Text, nullable=False),
    CheckConstraint("id = 1", name="ledger_head_one_row"),
)
"""One row: the number and the hash of the ledger's last one. Without it, a lost tail would not show."""
