"""Rules, ledger and state put together, and what waits for its time."""
