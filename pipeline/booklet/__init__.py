"""From a worked chart to a booklet: what stands on each page, and the pages as one sheet."""
