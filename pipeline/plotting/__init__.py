"""From the SVG of a chart to the content of a PDF page."""
