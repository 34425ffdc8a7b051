"""From nodes to a design: names, threads and files looked up, a place for each finding."""
