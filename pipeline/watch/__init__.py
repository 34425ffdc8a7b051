"""Builds again at every save, and shows chart and findings on a page of this computer."""
