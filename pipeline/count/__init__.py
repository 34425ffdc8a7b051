"""What a worked chart takes: stitches, sizes, lengths, needlefuls and skeins of thread."""
