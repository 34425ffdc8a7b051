"""From text to nodes: the lines of a chart file, before names are looked up."""
