"""From HTML and drawings to the bytes of a PDF, for every purpose."""
