"""The worked piece on its fabric, as an array of pixels."""
