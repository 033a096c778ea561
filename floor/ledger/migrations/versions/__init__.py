"""One module for each step of the ledger's tables, in the order of their numbers."""
