"""Alembic's migrations of the ledger's tables."""
