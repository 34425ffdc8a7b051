"""How well each thread of a chart explains each cell of a photograph.

Every cell is looked at twice: its inner part, nearly free of its neighbours, and all of it, with
less noise. What it should look like is learned from the photograph, for nearly all of a chart is
right: how its thread looks (looks.py), and how much that varies, in bare cloth and in crosses.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from .colours import Cells, Classified, Palette, distances, picked, spread
from .light import Even, by_cells, lab
from .looks import Looks, around, learned
from .placing import Floats
from .reading import Reading

FARTHEST = 60.0  # squared distance; beyond it a cell is told no worse by any thread
_SURELY = 20.0  # squared distance
_CAUGHT = 0.04  # share of a neighbour's colour by which what a cell catches usually varies
ALIKE = 6.0  # squared distance of threads, below which most single slips would go unseen
_NOWHERE = 1e3  # Lab; no colour is there
_FEW = 50  # cells of cloth, below which its spread is taken from all cells
_ODD = 6.0  # Lab; what lies farther off is no example
_INNER = 22.0  # squared distance of six degrees of freedom that 1 in 1,000 goes beyond
_WIDENED = 1.05  # for what is cut off there
_FLOOR = 0.02  # Lab squared; no photograph is finer


@dataclass(frozen=True, eq=False)
class Evidence:
    """How far every cell is from every thread.

    cost: (height, width, threads + 1) squared distances, at most FARTHEST, in spreads; what is
    caught from neighbours is allowed for. rough: the same of cells by themselves; it serves where
    much of the chart may lie off, and so says little of what cells catch. alike: pairs of threads,
    0 the cloth, that cannot be told apart in single cells.
    """

    even: Even
    palette: Palette
    cost: Floats
    rough: Floats
    alike: tuple[tuple[int, int], ...]

    def of(self, cells: Cells) -> Floats:
        """Return the cost (height, width) of each cell's being of the thread given."""
        return picked(self.cost, cells)

    @cached_property
    def seen(self) -> Classified:
        """The likeliest thread of each cell."""
        logs = -0.5 * self.cost + np.log(self.palette.share)
        order = np.argsort(-logs, axis=-1)[..., :2].astype(np.int32)
        first, second = order[..., 0], order[..., -1]
        probability = np.exp(picked(logs, first) - logsumexp(logs, axis=-1))
        return Classified(first, probability, self.of(first), second)


def gather(reading: Reading, cells: Cells, plain: NDArray[np.bool_]) -> Evidence:
    """Gather the evidence of a photograph on a chart of the same size.

    cells: thread of each. plain: the cells that are compared.
    """
    many = int(cells.max()) + 1
    first = _gathered(reading, cells, plain, many)
    # Cells that are surely of another thread count as such when their neighbours are looked at.
    seen = first.seen.cells
    surely = plain & (first.of(cells) - first.of(seen) > _SURELY)
    return _gathered(reading, np.where(surely, seen, cells), plain, many) if surely.any() else first


def _gathered(reading: Reading, cells: Cells, plain: NDArray[np.bool_], many: int) -> Evidence:
    even = by_cells(reading.colours, cells, plain)
    both = np.concatenate([even.lab, lab(reading.whole / even.light)], axis=-1)
    looks = learned(both, cells, plain, many)
    known, examples = looks.known, looks.examples
    off = looks.rest - looks.expected(cells)
    bare = examples & (cells == 0)
    cost = np.empty((*cells.shape, len(known)))
    # Bare cloth shows its weave, crosses do not: each has a spread of its own.
    cloth, crosses = (
        _covariance(off[mine if mine.sum() >= _FEW else examples])
        for mine in (bare, examples & ~bare)
    )
    narrowest = min(_log_size(cloth), _log_size(crosses))
    for covariance, threads in ((cloth, slice(0, 1)), (crosses, slice(1, None))):
        squared = _distances(looks, cells, covariance) + _log_size(covariance) - narrowest
        cost[..., threads] = squared[..., threads]
    cost[..., ~known] = FARTHEST
    like = even.lab[bare] if bare.sum() >= _FEW else off[examples][:, :3]
    counts = np.bincount(cells[plain], minlength=len(known))
    colours = np.where(known[:, None], looks.usual[:, :3], _NOWHERE)
    palette = Palette(colours, spread(like), (counts + 1) / (counts.sum() + len(known)))
    return Evidence(
        even,
        palette,
        np.minimum(cost, FARTHEST),
        np.minimum(distances(even.lab, palette), FARTHEST),
        _alike(looks, crosses),
    )


def _alike(looks: Looks, covariance: Floats) -> tuple[tuple[int, int], ...]:
    between = looks.pure[:, None] - looks.pure
    apart = np.einsum("abi,ij,abj->ab", between, np.linalg.inv(covariance), between)
    near = np.triu(apart < ALIKE, 1) & looks.known & looks.known[:, None]
    return tuple((int(one), int(other)) for one, other in np.argwhere(near))


def _log_size(covariance: Floats) -> float:
    return float(np.linalg.slogdet(covariance)[1])


def _covariance(off: Floats) -> Floats:
    """Return the covariance of what cells (n, 6) lie off, outliers left out."""
    near = off[(np.abs(off) < _ODD).all(axis=-1)]
    made = np.cov(near.T) + np.eye(off.shape[-1]) * _FLOOR
    for _ in range(3):
        squared = np.einsum("ni,ij,nj->n", near, np.linalg.inv(made), near)
        inner = near[squared < _INNER]
        made = _WIDENED * inner.T @ inner / len(inner) + np.eye(off.shape[-1]) * _FLOOR
    return np.asarray(made)


def _distances(looks: Looks, cells: Cells, covariance: Floats) -> Floats:
    """Return squared distances (height, width, threads + 1).

    Less what a cell may have caught of a neighbour's colour more than is usual.
    """
    root = np.linalg.cholesky(np.linalg.inv(covariance))
    pure, worn = looks.pure @ root, 1 - looks.worn
    seen = (looks.rest - looks.worn[..., None] * looks.pure[0]) @ root
    products, along = pure @ pure.T, seen @ pure.T
    squared = (
        np.square(seen).sum(axis=-1)[..., None]
        - 2 * worn[..., None] * along
        + np.square(worn)[..., None] * np.diag(products)
    )
    lengths = np.diag(products)
    most = np.zeros(squared.shape)
    for beside in around(cells):
        between = lengths - products[beside]
        way = picked(along, beside)[..., None] - along + worn[..., None] * between
        length = lengths[beside][..., None] - products[beside] + between
        less = np.square(np.maximum(way, 0)) / (length + _CAUGHT**-2)
        np.maximum(most, less, out=most, where=looks.known[beside][..., None])
    nearest: Floats = squared - most
    return nearest
