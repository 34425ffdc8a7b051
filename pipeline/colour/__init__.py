"""Colour: differences, ways of seeing, the nearest threads, colourways."""
