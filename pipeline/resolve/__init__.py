"""From text to a design: every statement, with a place for each finding."""
