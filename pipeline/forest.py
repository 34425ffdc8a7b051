"""The shortest forest over given edges, and a walk along each of its trees, without loops."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


def spanning_forest(count: int, a: Ints, b: Ints) -> tuple[Ints, Ints]:
    """Return the tree of each of `count` nodes and which edges join them.

    a, b: the ends of the edges, the best edge first; with edges in order of length the forest
    is the shortest (Boruvka's way: every tree takes its best edge, again and again). A tree is
    named by one of its nodes.
    """
    label = np.arange(count, dtype=np.int64)
    alive = np.flatnonzero(a != b)
    u, v = a[alive], b[alive]
    none = len(a)
    taken: list[Ints] = []
    while alive.size:
        # Of several values put in one place numpy keeps the last: backwards, the best edge.
        best = np.full(count, none, dtype=np.int64)
        best[u[::-1]] = alive[::-1]
        other = np.full(count, none, dtype=np.int64)
        other[v[::-1]] = alive[::-1]
        np.minimum(best, other, out=best)
        trees = np.flatnonzero(best < none)
        edge = best[trees]
        left, right = label[a[edge]], label[b[edge]]
        target = np.where(left == trees, right, left)
        parent = np.arange(count, dtype=np.int64)
        parent[trees] = target
        mutual = (parent[target] == trees) & (trees < target)
        parent[trees[mutual]] = trees[mutual]
        taken.append(edge[~mutual])
        while True:
            further = parent[parent]
            if np.array_equal(further, parent):
                break
            parent = further
        label = parent[label]
        u, v = label[a[alive]], label[b[alive]]
        apart = u != v
        alive, u, v = alive[apart], u[apart], v[apart]
    edges = np.concatenate(taken) if taken else np.empty(0, dtype=np.int64)
    return label, np.sort(edges)


@dataclass(frozen=True, eq=False)
class Walk:
    """A walk along every tree of a forest, each node before what hangs on it.

    order: the nodes, tree by tree. first: of each node in `order`, whether it begins a tree.
    parent: of each node, -1 for a root. edge: the edge to its parent, -1 for a root.
    depth: length of the way from the root to each node.
    """

    order: Ints
    first: NDArray[np.bool_]
    parent: Ints
    edge: Ints
    depth: Floats


def walk(count: int, a: Ints, b: Ints, lengths: Floats) -> Walk:
    """Walk the trees of a forest from their lowest nodes, lower branches first.

    a, b, lengths: the edges of the forest. The tour of each tree (every edge out and back) is
    put in order by doubling steps along it, as there may be a tree of a million nodes.
    """
    label, _ = spanning_forest(count, a, b)
    root = np.empty(count, dtype=np.int64)
    root[label[::-1]] = np.arange(count - 1, -1, -1)
    root = root[label]
    parent = np.full(count, -1, dtype=np.int64)
    edge = np.full(count, -1, dtype=np.int64)
    depth = np.zeros(count)
    place = np.zeros(count, dtype=np.int64)
    many = len(a)
    if many:
        source, target = np.concatenate((a, b)), np.concatenate((b, a))
        arcs = np.argsort(source * count + target)
        source, target = source[arcs], target[arcs]
        where = np.empty(2 * many, dtype=np.int64)
        where[arcs] = np.arange(2 * many)
        back = where[(arcs + many) % (2 * many)]
        start = np.searchsorted(source, np.arange(count))
        after = np.arange(1, 2 * many + 1)
        after[-1] = 0
        turning = np.ones(2 * many, dtype=bool)
        turning[:-1] = source[1:] != source[:-1]
        after[turning] = start[source[turning]]
        step = after[back]
        ends = (step == start[target]) & (root[target] == target)
        step[ends] = np.flatnonzero(ends)
        rank = np.where(ends, 0, 1)
        while True:
            further = step[step]
            if np.array_equal(further, step):
                break
            rank += rank[step]
            step = further
        out = rank > rank[back]  # the way out is farther from the end than the way back
        tour = np.lexsort((-rank, root[source]))
        signed = np.where(out, 1.0, -1.0) * lengths[arcs % many]
        height = np.empty(2 * many)
        # Every tour comes back to where it began, so that one sum over all of them will do.
        height[tour] = np.cumsum(signed[tour])
        node = target[out]
        parent[node], edge[node] = source[out], arcs[out] % many
        depth[node] = height[out]
        placed = np.empty(2 * many, dtype=np.int64)
        placed[tour] = np.arange(1, 2 * many + 1)
        place[node] = placed[out]
    order = np.lexsort((place, root))
    return Walk(order, root[order] == order, parent, edge, depth)
