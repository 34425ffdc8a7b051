"""A photograph of a stitched piece: where its crosses lie, what colours they have, how sure that is.

The way, each step a pure function:

    open_photograph(data, shown) -> Photograph, findings             picture.py
    Placing(width, height, corners, landmarks) -> placing.faults(photograph)   placing.py
    propose_size(photograph, corners) -> SizeProposal                proposing.py
    read(photograph, placing) -> Reading                             reading.py
    hold(reading, Expected(...)) -> Held                             holding.py
    draft(reading, threads) -> Draft                                 drafting.py

Nothing here knows of a chart's text: threads are numbers (0 bare cloth, then 1, 2, ...), places are
columns and rows of the thing that the photograph shows, counted from 0 at its top left corner.
Whoever calls gives them names and spans. What cannot be done, or should not be trusted, comes
back as a `Told` (told.py), never as an exception.

Pixels: u to the right, v down, (0, 0) the outer corner of the first pixel of the picture as it is
looked at, so that the middle of that pixel is (0.5, 0.5).
Places: x, y in crosses; (0, 0) is the outer corner of the first cross, whose middle is (0.5, 0.5).
"""
