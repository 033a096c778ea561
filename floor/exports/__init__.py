"""The way out: the events of the ledger as files for other programs, a row at a time."""
