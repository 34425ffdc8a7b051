"""Shortest forests and walks against scipy and networkx; runs and areas against scipy."""

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.count.forest import spanning_forest, walk
from linenleaf.count.runs import NeedleCells, areas, meeting, runs
from scipy.ndimage import label
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components, minimum_spanning_tree

GRAPHS = st.tuples(st.integers(0, 2**32 - 1), st.integers(1, 60), st.integers(0, 200))


def drawn(graph):
    seed, count, many = graph
    rng = np.random.default_rng(seed)
    a, b = rng.integers(0, count, (2, many))
    lengths = rng.integers(1, 9, many).astype(float)  # many alike, so that ties are met
    order = np.argsort(lengths, kind="stable")
    return count, a[order], b[order], lengths[order]


def shortest(count, a, b, lengths):
    """The length of the shortest forest, and its trees."""
    least = np.full((count, count), np.inf)
    for one, two, length in zip(a, b, lengths, strict=True):
        if one != two:
            least[one, two] = least[two, one] = min(length, least[one, two])
    least[np.isinf(least)] = 0
    found = minimum_spanning_tree(least)
    return found.sum(), connected_components(found, directed=False)


@given(GRAPHS)
@settings(max_examples=100)
def test_the_forest_is_the_shortest(graph):
    count, a, b, lengths = drawn(graph)
    tree, edges = spanning_forest(count, a, b)
    length, (trees, label_of) = shortest(count, a, b, lengths)
    assert lengths[edges].sum() == pytest.approx(length)
    assert len(edges) == count - trees
    assert len(np.unique(tree)) == trees
    assert np.array_equal(tree[tree], tree)
    assert len(set(zip(tree.tolist(), label_of.tolist(), strict=True))) == trees


@given(GRAPHS)
@settings(max_examples=100)
def test_a_walk_goes_depth_first_from_the_lowest_node(graph):
    count, a, b, lengths = drawn(graph)
    tree, edges = spanning_forest(count, a, b)
    a, b, lengths = a[edges], b[edges], lengths[edges]
    walked = walk(tree, a, b, lengths)
    check = nx.Graph()
    check.add_nodes_from(range(count))
    check.add_weighted_edges_from(zip(a.tolist(), b.tolist(), lengths.tolist(), strict=True))
    order = walked.order.tolist()
    assert sorted(order) == list(range(count))
    roots = [min(each) for each in nx.connected_components(check)]
    assert [node for node in order if walked.parent[node] == -1] == sorted(roots)
    far = nx.multi_source_dijkstra_path_length(check, roots)
    under: list[int] = []  # the nodes from the root to the one before
    for node in order:
        assert walked.depth[node] == far[node]
        # Depth first: each hangs on one of those from the root to the one before.
        above = walked.parent[node]
        if above == -1:
            under = []
        else:
            edge = walked.edge[node]
            assert {a[edge], b[edge]} == {node, above}
            under = under[: under.index(above) + 1]
        under.append(node)


def test_a_tree_as_deep_as_it_is_long():
    count = 200_000
    a = np.arange(count - 1)
    walked = walk(np.zeros(count, dtype=np.int64), a, a + 1, np.ones(count - 1))
    assert np.array_equal(walked.order, np.arange(count))
    assert np.array_equal(walked.depth, np.arange(count))


GRIDS = st.tuples(
    st.integers(0, 2**32 - 1), st.integers(1, 30), st.integers(1, 30), st.integers(1, 3)
)


def cells_of(grid):
    """The cells of a grid, by needle (its numbers)."""
    pitch = grid.shape[1] + 1
    y, x = np.nonzero(grid)
    needle = grid[y, x].astype(np.uint16)
    order = np.argsort(needle, kind="stable")
    return NeedleCells(needle[order], (y * pitch + x)[order], pitch)


@given(GRIDS)
@settings(max_examples=100)
def test_areas_are_cells_of_one_needle_that_share_holes(given_grid):
    seed, width, height, needles = given_grid
    grid = np.random.default_rng(seed).integers(0, needles + 1, (height, width))
    cells = cells_of(grid)
    if not len(cells.place):
        return
    found = runs(cells)
    area, at, length = areas(found, cells.pitch, 1.0, 1.0)
    each_cell = np.repeat(area, found.count)
    expected = np.zeros(grid.shape, dtype=int)
    total = 0
    for needle in range(1, needles + 1):
        named, many = label(grid == needle, np.ones((3, 3)))
        expected[named > 0] = named[named > 0] + total
        total += many
    y, x = np.divmod(cells.place, cells.pitch)
    pairs = set(zip(each_cell.tolist(), expected[y, x].tolist(), strict=True))
    assert len(pairs) == total == len(np.unique(area))
    assert np.array_equal(np.unique(area), np.arange(total))
    assert len(at) == len(length) == len(found.first) - total
    # From row to row along a step at the right at the least, or turning off and back at the most.
    assert np.all((length >= 1) & (length <= 5**0.5 + 1e-12))


@given(GRIDS)
@settings(max_examples=100)
def test_all_runs_that_meet_are_found(given_grid):
    seed, width, height, _ = given_grid
    grid = np.random.default_rng(seed).integers(0, 2, (height, width))
    grid[0, 0] = 1
    cells = cells_of(grid)
    found = runs(cells)
    row, left = np.divmod(cells.place[found.first], cells.pitch)
    right = left + found.count - 1
    expected = {
        (one, two)
        for one in range(len(row))
        for two in range(len(row))
        if row[two] == row[one] + 1 and left[two] <= right[one] + 1 and left[one] <= right[two] + 1
    }
    upper, lower = meeting(found, cells.pitch)
    assert set(zip(upper.tolist(), lower.tolist(), strict=True)) == expected


def test_a_long_chain_is_one_tree():

    count = 100_000
    a = np.arange(count - 1)
    tree, edges = spanning_forest(count, a, a + 1)
    graph = coo_array((np.ones(count - 1), (a, a + 1)), shape=(count, count))
    assert len(edges) == count - 1
    assert connected_components(graph, directed=False)[0] == len(np.unique(tree)) == 1
