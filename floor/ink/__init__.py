"""The ink of a print, from its artwork: what lands on the garment if every pixel is laid down as it is drawn."""
