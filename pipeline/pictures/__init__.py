"""One picture of a chart: the worked piece, the chart or the key, as PNG, JPEG or SVG."""
