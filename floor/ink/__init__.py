"""The ink of a print: from its artwork, as it is read, and what the shop's own readings make of the estimates."""
