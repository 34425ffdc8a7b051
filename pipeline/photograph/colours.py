"""Which thread each cell is: the likeliest by its colour, and how sure that is.

Every thread is a cloud of colours in Lab. All clouds have the same shape, that of bare cells: what
spreads them is light, weave and noise, which all have in common (a shape for each thread makes it
worse, since threads of few cells get a wrong one). Common threads are likelier than rare ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from .placing import Floats

Cells = NDArray[np.int32]
Named = Mapping[int, tuple[tuple[int, int], ...]]  # thread -> column and row of cells of it

_LEAST_SPREAD = 0.7  # Lab; no photograph is finer
_ROUGH = 2.0  # Lab; the spread that is first taken for that of a photograph
_ROUNDS = 5
_DRIFT = 6.0  # Lab by which a thread of the key may move from where it was first looked for
_ENOUGH = 12  # cells from which a thread's colour is taken anew
_OUTLYING = 30.0  # squared distance beyond which a cell is no example of its thread
_OFF_KEY = 1.5  # Lab; no key is nearer to what is seen
_UNLIKE = 0.3  # share of its way to the cloth by which a thread fades more or less than others
_RARE = 0.5  # cells; how common a thread is taken to be that was not seen yet
_HEAVY = 0.02  # share of cells that are like nothing known: dirt, holes, part stitches


@dataclass(frozen=True, eq=False)
class Palette:
    """Threads as colours: Lab (n, 3) of the cloth and each thread, and what their clouds share.

    precision: (3, 3), the inverse of the covariance. share: (n,) of the cells.
    """

    lab: Floats
    precision: Floats
    share: Floats


@dataclass(frozen=True, eq=False)
class Classified:
    """cells: (height, width) likeliest thread. probability: of it. distance: squared, in spreads.

    second: the next likeliest.
    """

    cells: Cells
    probability: Floats
    distance: Floats
    second: Cells


def spread(lab: Floats) -> Floats:
    """Return the inverse of the covariance of bare cells (n, 3), outliers left out.

    Without any cell it is that of a rough photograph.
    """
    if not len(lab):
        return np.eye(3) / _ROUGH**2
    off = lab - np.median(lab, axis=0)
    covariance = np.asarray(np.eye(3) * _ROUGH**2, dtype=np.float64)
    for _ in range(4):
        squared = np.einsum("ni,ij,nj->n", off, np.linalg.inv(covariance), off)
        # The inner nine in ten, by a chi-square of three degrees; widened for what is cut off.
        inner: Floats = off[squared <= max(6.25, float(np.quantile(squared, 0.5)))]
        widened: Floats = 1.2 * (inner.T @ inner) / max(1, len(inner))
        covariance = np.asarray(widened + np.eye(3) * _LEAST_SPREAD**2 / 4, dtype=np.float64)
    return np.asarray(np.linalg.inv(covariance), dtype=np.float64)


def picked(values: Floats, cells: Cells) -> Floats:
    """Return of values (..., n) those (...) of the threads given."""
    return np.take_along_axis(values, cells[..., None].astype(np.intp), axis=-1)[..., 0]


def distances(lab: Floats, palette: Palette) -> Floats:
    """Return squared distances (..., n) of colours from threads, in spreads."""
    root = np.linalg.cholesky(palette.precision)
    white, centres = lab @ root, palette.lab @ root
    squared: Floats = (
        np.square(white).sum(axis=-1)[..., None]
        - 2 * white @ centres.T
        + np.square(centres).sum(axis=-1)
    )
    return np.maximum(squared, 0)


def classify(lab: Floats, palette: Palette) -> Classified:
    """Return the likeliest thread of each cell (height, width)."""
    squared = distances(lab, palette)
    return likeliest(-0.5 * squared + np.log(palette.share), squared)


def likeliest(logs: Floats, squared: Floats) -> Classified:
    """Return the likeliest thread of each cell by likelihoods in the logarithm (..., threads + 1).

    squared: their distances from each thread.
    """
    # Beyond some distance likelihood falls no more like a Gaussian: what is far from all is
    # not therefore surely the nearest.
    floor = np.log(_HEAVY) - 0.5 * _OUTLYING
    order = np.argsort(-logs, axis=-1)[..., :2].astype(np.int32)
    first, second = order[..., 0], order[..., -1]
    total = np.logaddexp(logsumexp(logs, axis=-1), floor)
    return Classified(first, np.exp(picked(logs, first) - total), picked(squared, first), second)


def settled(lab: Floats, palette: Palette, drift: float = _DRIFT) -> Palette:
    """Return the palette with colours and shares as the cells have them.

    No colour moves by more than `drift` from where it was looked for, so that no thread runs away
    to the cells of another.
    """
    start = palette.lab
    for _ in range(_ROUNDS):
        classified = classify(lab, palette)
        colours = palette.lab.copy()
        for thread in range(len(colours)):
            mine = (classified.cells == thread) & (classified.distance < _OUTLYING)
            if mine.sum() >= _ENOUGH:
                colours[thread] = np.median(lab[mine], axis=0)
        moved = colours - start
        length = np.linalg.norm(moved, axis=-1, keepdims=True)
        colours = start + moved * np.minimum(1, drift / np.maximum(length, 1e-9))
        share = np.bincount(classified.cells.ravel(), minlength=len(colours)) + _RARE
        palette = replace(palette, lab=colours, share=share / share.sum())
    return palette


def from_named(lab: Floats, named: Named, many: int, precision: Floats) -> Palette:
    """Return a palette from cells whose thread the user has said; threads without one are nowhere.

    many: threads and the cloth.
    """
    colours = np.full((many, 3), np.nan)
    for thread, places in named.items():
        colours[thread] = np.median([lab[row, column] for column, row in places], axis=0)
    return _usable(colours, precision)


def _usable(colours: Floats, precision: Floats) -> Palette:
    # A thread of which nothing is known lies where no colour is.
    colours = np.where(np.isnan(colours), 1e3, colours)
    return Palette(colours, precision, np.full(len(colours), 1 / len(colours)))


# Shares of its difference from the cloth, in lightness and in colour, that a thread keeps: a lens
# and a JPEG spread colours more than lightness, and light from lamps takes some of them.
_FADINGS = np.arange(1.1, 0.25, -0.1)
_MUTINGS = np.arange(1.0, 0.45, -0.1)  # of what it keeps in lightness
_CUT = 50.0  # squared distance that counts for any cell farther off


def from_key(lab: Floats, cloth: Floats, key: Floats, precision: Floats) -> Palette:
    """Return a palette from the colours of a key, faded all alike as far as suits the cells best.

    cloth: Lab of the cloth as photographed. key: (n, 3) Lab of the cloth and each thread.
    """
    sample = lab.reshape(-1, 3)
    sample = sample[:: max(1, len(sample) // 4000)]
    best: tuple[float, Palette] | None = None
    for kept in _FADINGS.tolist():
        for muted in _MUTINGS.tolist():
            shares = kept * np.array((1.0, muted, muted))
            palette = _usable(cloth + shares * (key - key[0]), precision)
            cost = float(np.minimum(distances(sample, palette).min(axis=-1), _CUT).mean())
            if best is None or cost < best[0]:
                best = cost, palette
    assert best is not None
    return best[1]


def surely_named(key: Palette, lab: Floats, seen: Classified) -> Floats:
    """Return for each thread (n,) how sure it is that its cells are of it, and not of another.

    key: where the threads of the key were looked for. The cells may be of a thread that was found
    nowhere, faded a little more or less than the others, if it lies hardly farther off; how far is
    far is told by how far all lie off from their key. Bare cloth is sure.
    """
    many = len(key.lab)
    found = np.bincount(seen.cells.ravel(), minlength=many) >= _ENOUGH
    found[0] = True
    centres = key.lab.copy()
    for thread in np.flatnonzero(found).tolist():
        centres[thread] = np.median(lab[seen.cells == thread], axis=0)
    way, off = key.lab - key.lab[0], (centres - key.lab[0])[:, None]
    stiff = (_OFF_KEY / _UNLIKE) ** 2
    kept = ((off * way).sum(axis=-1) + stiff) / (np.square(way).sum(axis=-1) + stiff)
    squared = np.square(off - kept[..., None] * way).sum(axis=-1) + stiff * np.square(kept - 1)
    own = np.diag(squared)
    usual = max(_OFF_KEY**2, float(np.mean(own[found])))
    others = np.exp(np.minimum((own[:, None] - squared) / (2 * usual), 0))
    others[:, found] = 0
    np.fill_diagonal(others, 1)
    sure: Floats = 1 / others.sum(axis=1)
    sure[0] = 1
    return sure
