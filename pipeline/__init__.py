"""Counted cross stitch charts as plain text."""

__version__ = "0.1.0"
