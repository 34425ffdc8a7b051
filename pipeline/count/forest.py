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

    order: the nodes, tree by tree. parent: of each node, -1 for a root. edge: the edge to its
    parent, -1 for a root. depth: length of the way from the root to each node.
    """

    order: Ints
    parent: Ints
    edge: Ints
    depth: Floats


def walk(tree: Ints, a: Ints, b: Ints, lengths: Floats) -> Walk:
    """Walk the trees of a forest from their lowest nodes, branch by branch.

    tree: of each node. a, b, lengths: the edges of the forest. The tour of each tree (every
    edge out and back) is put in order by doubling steps along it, as there may be a tree of a
    million nodes.
    """
    count = len(tree)
    root = lowest(tree)
    parent = np.full(count, -1, dtype=np.int64)
    edge = np.full(count, -1, dtype=np.int64)
    depth = np.zeros(count)
    is_root = root == np.arange(count)
    trees = np.cumsum(is_root)  # trees begun up to each node
    before = np.zeros(count, dtype=np.int64)  # nodes that hang on others, before each in order
    many = len(a)
    if many:
        tour, source, target, arcs = _tours(count, a, b, root)
        placed = np.empty(2 * many, dtype=np.int64)
        placed[tour] = np.arange(2 * many)
        back = np.empty(2 * many, dtype=np.int64)
        back[arcs] = np.arange(2 * many)
        back = back[(arcs + many) % (2 * many)]
        out = placed < placed[back]
        # Every tour comes back to where it began, so that one sum over all of them will do.
        ways = out[tour]
        height = np.cumsum(np.where(ways, 1.0, -1.0) * lengths[arcs[tour] % many])
        steps = np.cumsum(ways)
        ahead = tour[ways]
        node = target[ahead]
        parent[node], edge[node] = source[ahead], arcs[ahead] % many
        depth[node] = height[ways]
        hanging = np.bincount(root[source[ahead]], minlength=count)
        before = np.cumsum(hanging) - hanging
        before[node] = steps[ways]
    order = np.empty(count, dtype=np.int64)
    order[before + trees[root] - 1] = np.arange(count)
    return Walk(order, parent, edge, depth)


def lowest(label: Ints) -> Ints:
    """Return the lowest node with the same label, for each node."""
    first = np.empty(len(label), dtype=np.int64)
    first[label[::-1]] = np.arange(len(label) - 1, -1, -1)
    return first[label]


def _tours(count: int, a: Ints, b: Ints, root: Ints) -> tuple[Ints, Ints, Ints, Ints]:
    """Return the arcs of the tours of all trees in order; their ends, and their numbers.

    An arc is an edge taken one way: arcs 0 to E - 1 go from a to b, the others back.
    """
    many = len(a)
    source, target = np.concatenate((a, b)), np.concatenate((b, a))
    arcs = np.argsort(source * count + target)
    source, target = source[arcs], target[arcs]
    where = np.empty(2 * many, dtype=np.int32)
    where[arcs] = np.arange(2 * many, dtype=np.int32)
    back = where[(arcs + many) % (2 * many)]
    # After the way into a node comes the next way out of it, round and round.
    start = np.searchsorted(source, np.arange(count)).astype(np.int32)
    after = np.arange(1, 2 * many + 1, dtype=np.int32)
    turning = np.ones(2 * many, dtype=bool)
    turning[:-1] = source[1:] != source[:-1]
    after[turning] = start[source[turning]]
    step = after[back]
    ends = (step == start[target]) & (root[target] == target)
    step[ends] = np.flatnonzero(ends)
    rank = np.where(ends, 0, 1).astype(np.int32)
    while True:
        further = step[step]
        if np.array_equal(further, step):
            break
        rank += rank[step]
        step = further
    tree = root[source]
    final = np.cumsum(np.bincount(tree, minlength=count))
    tour = np.empty(2 * many, dtype=np.int64)
    tour[final[tree] - 1 - rank] = np.arange(2 * many)
    return tour, source, target, arcs
