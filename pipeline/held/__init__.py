"""A chart held against its photographs: what differs, the surest first, in words and pictures."""
