"""What a piece costs: quoted from standards, actual from the ledger, and why they differ. Pure."""
