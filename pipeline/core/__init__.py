"""What all rooms speak of: text with places in it, findings, the model of a chart, safe files."""
