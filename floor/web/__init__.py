"""The floor over HTTP: where benches send their reads, and where people and machines look how it goes."""
