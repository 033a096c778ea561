"""Pen, boxes, fonts, bars, papers and labels."""
