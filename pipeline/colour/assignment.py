"""The cheapest way to give each of some rows a column of its own."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray


def assign(cost: ArrayLike) -> NDArray[np.int64]:
    """Return for each row its column, such that the sum of costs is least.

    cost: (n, m) of finite numbers, n <= m. Rows are added one by one, each by a shortest path of
    exchanges, with prices on rows and columns that keep all reduced costs from falling below zero
    (H. W. Kuhn, "The Hungarian method for the assignment problem", Naval Research Logistics
    Quarterly 2, 1955, 83-97; by shortest paths: J. Edmonds and R. M. Karp, Journal of the ACM
    19(2), 1972, 248-264): n paths of at most n steps over m columns.
    """
    costs = np.asarray(cost, dtype=np.float64)
    rows, columns = costs.shape
    if rows > columns:
        raise ValueError(f"{rows} rows cannot have a column each of {columns}")
    if not np.isfinite(costs).all():
        raise ValueError("every cost has to be finite")
    row_price, column_price = np.zeros(rows), np.zeros(columns)
    row_of = np.full(columns, -1, dtype=np.int64)
    for row in range(rows):
        shortest = np.full(columns, np.inf)
        before = np.full(columns, -1, dtype=np.int64)  # the column from which each is reached
        settled = np.zeros(columns, dtype=bool)
        at, through, length = row, -1, 0.0
        while True:
            way = length + costs[at] - row_price[at] - column_price
            better = ~settled & (way < shortest)
            shortest[better] = way[better]
            before[better] = through
            through = int(np.argmin(np.where(settled, np.inf, shortest)))
            length = float(shortest[through])
            settled[through] = True
            at = int(row_of[through])
            if at < 0:
                break
        inner = settled.copy()
        inner[through] = False
        row_price[row] += length
        row_price[row_of[inner]] += length - shortest[inner]
        column_price[settled] -= length - shortest[settled]
        while through >= 0:  # give each column on the path to the row that reached it
            earlier = int(before[through])
            row_of[through] = row if earlier < 0 else row_of[earlier]
            through = earlier
    found = np.empty(rows, dtype=np.int64)
    taken = np.flatnonzero(row_of >= 0)
    found[row_of[taken]] = taken
    return found
