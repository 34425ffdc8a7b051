"""The one tidy form of a source."""
