"""What every part of piecewalk agrees on: words, codes, files, times and money. Knows no device, clock or database."""
