"""What a photograph is too poor for, told plainly, with what to photograph instead."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, label

from .lattice import TORN, Lattice
from .light import by_cloth
from .placing import Floats
from .sampling import View
from .sharpness import blur_of
from .told import Limit, Told

_NO_EDGES, _NO_THREADS = 1.15, 1.25  # over noise; below both there is nothing to follow
_DIM_WEAVE = 1.6  # over noise; below, cloth without crosses cannot be crossed surely
# Sigma in crosses: a weave of two threads a cross is gone then; what spreads wider has no crosses.
_BLURRED, _NO_EDGE = 0.155, 0.6
_SOFT = 0.125  # the same where the weave is hardly seen
_WIDE = 2.355  # sigmas between the halves of a Gaussian
_FOCUS = 1.0  # pixels; no lens and JPEG are sharper
_LEAST_SPOILT = 0.01  # of the cells
_RENT_REACH = 3  # crosses by which rents are joined to one place
_COVERED = 0.15  # share of cells that look like cloth, below which there is hardly any
_CLOTH_SPREAD = 9.0  # Lab; cells of one cloth vary less than that
_ONE_CLOTH = 4.5  # Lab; the usual cell of one cloth lies nearer to its middle, in noise too
_LIGHTER, _FEW_LIGHTER = 6.0, 0.12  # lightness above the cloth, and share of cells that have it
_FAINT_THREADS = 9.0  # Lab from the cloth that the usual stitched cell is, at the least

_BANDS = "photograph it by bands or motifs, at 8 to 12 pixels a cross"
_SHARP = "hold the camera still, square to the cloth, in even light, at its best quality setting"


def slipped(lattice: Lattice) -> tuple[Told, ...]:
    """Tell where the crosses could not be followed, if they were lost anywhere."""
    if not lattice.slipped:
        return ()
    rents = lattice.tear > TORN
    joined, many = label(binary_dilation(rents, iterations=_RENT_REACH))
    sizes = np.bincount(joined[rents], minlength=many + 1)
    rows, columns = np.nonzero((joined == sizes[1:].argmax() + 1) & rents) if many else ([0], [0])
    box = int(min(columns)), int(min(rows)), int(max(columns)) + 1, int(max(rows)) + 1
    return (
        Told(
            Limit.SLIPPED,
            f"The crosses could not be followed: around columns {box[0] + 1} to {box[2]}, rows "
            f"{box[1] + 1} to {box[3]} whole crosses were lost.",
            "check the corners and the counted size, add a landmark near there that you are sure "
            f"of, or photograph it nearer; {_SHARP}",
            box,
        ),
    )


def blurred(view: View, lattice: Lattice) -> tuple[Told, ...]:
    """Tell whether edges are too soft for the weave to be seen."""
    sigma = blur_of(view)
    pixels = sigma * view.placing.pixels_per_cross
    least = _SOFT if lattice.weave_over_noise < _DIM_WEAVE else _BLURRED
    if not least < sigma < _NO_EDGE or pixels < _FOCUS * view.reduction:
        return ()
    return (
        Told(
            Limit.BLURRED,
            f"It is blurred: edges are spread over {_WIDE * pixels:.1f} pixels, "
            f"{100 * _WIDE * sigma:.0f} % of a cross, and the weave is lost in that.",
            f"photograph it again: {_SHARP}; else look twice at all that is read",
        ),
    )


def on_lattice(lattice: Lattice, soft: tuple[Told, ...]) -> tuple[Told, ...]:
    """Tell what is poor about how crosses could be followed; soft: what was told of blur."""
    if lattice.weave_over_noise < _NO_THREADS and lattice.edges_over_noise < _NO_EDGES:
        return (
            *soft,
            Told(
                Limit.NO_CROSSES,
                "No crosses and no weave are seen between the corners.",
                "check that it is the right photograph and that the corners are those of the "
                f"thing; cutwork and printed cloth have no crosses; {_SHARP}",
            ),
        )
    told = (*soft, *slipped(lattice))
    if lattice.weave_over_noise < _DIM_WEAVE and not soft:
        dim = Told(
            Limit.NO_WEAVE,
            "The weave of the cloth is hardly seen, so that nothing tells where crosses lie in "
            "bare cloth.",
            f"add a few landmarks that you are sure of, or photograph it nearer; {_SHARP}",
        )
        told = (dim, *told)
    return told


def on_cells(colours: Floats, spoilt: NDArray[np.bool_]) -> tuple[Told, ...]:
    """Tell what is poor about the colours of cells (height, width, 3), sRGB from 0 to 255."""
    told = []
    if spoilt.mean() > _LEAST_SPOILT:
        told.append(
            Told(
                Limit.GLARE,
                f"{100 * float(spoilt.mean()):.0f} % of the crosses are burnt out or black.",
                "photograph it without flash, in soft light from the side, exposed so that nothing "
                "is pure white",
            )
        )
    even, bare = by_cloth(colours)
    lab = even.lab
    cloth = np.median(lab[bare], axis=0)
    off = np.linalg.norm(lab - cloth, axis=-1)
    like = float((off < _CLOTH_SPREAD).mean())
    # What was taken for cloth may be crosses: then it is of many colours, or much is lighter.
    uneven = float(np.median(off[bare])) > _ONE_CLOTH
    lighter = float((lab[..., 0] > cloth[0] + _LIGHTER).mean()) > _FEW_LIGHTER
    if like < _COVERED or uneven or lighter:
        told.append(
            Told(
                Limit.COVERED,
                "Hardly any bare cloth is seen: crosses of a covered piece cannot be told apart "
                "surely enough for a draft.",
                "a finished chart can be held against this photograph",
            )
        )
    worked = off[~bare]
    if len(worked) and float(np.quantile(worked, 0.9)) < _FAINT_THREADS:
        told.append(
            Told(
                Limit.FADED,
                "Nothing in it is much darker than the cloth: it is very faded, or not stitched.",
                f"photograph the back, where colours last, if it can be seen; else {_BANDS}",
            )
        )
    return tuple(told)
