"""A photograph of a stitched piece: where its crosses lie, their threads, how sure that is.

The way, each step a pure function:

    open_photograph(data) -> Photograph                       picture.py
    Placing(width, height, corners, landmarks)                placing.py
    propose_size(photograph, corners) -> SizeProposal         proposing.py
    read(photograph, placing) -> Reading                      reading.py
    draft(reading, Threads(...)) -> Draft                     drafting.py
    hold(reading, Expected(cells, plain, apart)) -> Held      holding.py, differences.py

The last four return what they made, or None, and beside it all that is to be told (told.py): what
stops the work, and what makes it doubtful. Only a file that is no picture raises.

Nothing here knows of a chart's text: threads are numbers (0 bare cloth, then 1, 2 ...), places are
columns and rows of the thing that the photograph shows, counted from 0 at its top left corner.
Whoever calls gives them names and spans.

Pixels: u to the right, v down; (0, 0) is the outer corner of the first pixel of the picture as it
is looked at, so that the middle of that pixel is (0.5, 0.5).
Places: x, y in crosses; (0, 0) is the outer corner of the first cross, whose middle is (0.5, 0.5).
"""
