"""Likely slips of the pen: what a grid says against itself."""
