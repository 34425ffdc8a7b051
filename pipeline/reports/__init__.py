"""What commands answer: counts, lists, findings, in words and for other programs."""
