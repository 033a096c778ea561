"""How reads and people come in from outside: benches, tokens, addresses."""
