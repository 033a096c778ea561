"""Charts drawn with a pen: paints, scales, bars, and rows that hold figures and bars side by side."""
