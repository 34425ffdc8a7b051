"""What a text editor is told about a chart while it is being written."""
