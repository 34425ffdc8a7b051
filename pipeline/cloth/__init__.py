"""Pictures: the worked piece on its cloth, the chart, the key."""
