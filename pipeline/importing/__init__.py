"""A chart of a picture or of a sheet of cells."""
