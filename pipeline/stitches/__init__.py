"""What a stitch is: its kinds, their strokes, and the one rule that cuts lines into stitches."""
