"""What a chart looks like: printed symbols and their font, pages of cells, lines, all as SVG."""
