"""The chapters of the week's report on paper, each of them blocks of a page."""
