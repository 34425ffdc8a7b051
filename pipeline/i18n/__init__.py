"""The languages of a booklet: its fixed words, its figures and its dates."""
