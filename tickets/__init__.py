"""A job in, PDF out: travellers for pieces, cards for stations and people. Knows shared alone, no floor."""
