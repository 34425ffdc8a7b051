"""The chart as drawn: symbols and their font, pages of cells, SVG, and its form in a PDF."""
