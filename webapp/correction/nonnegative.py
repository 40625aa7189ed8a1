"""Nonnegative least squares for a few columns, many problems at once."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from webapp.colorimetry.encodings import Floats

MOST_COLUMNS = 6
"""Above this, trying every set of columns costs more than it is worth."""


def nonnegative_least_squares(columns: Floats, target: Floats) -> Floats:
    """Give the (…, n) x ≥ 0 with the least |columns · x − target|, for (…, m, n) columns and a (…, m) target.

    The least-squares solution of every set of columns is tried, and the best one without a negative share kept;
    that is the optimum, since at it the shares above zero solve their own columns freely (Karush–Kuhn–Tucker).
    ValueError for more than MOST_COLUMNS columns.
    """
    columns, target = np.asarray(columns, dtype=float), np.asarray(target, dtype=float)
    n = columns.shape[-1]
    if n > MOST_COLUMNS:
        raise ValueError(f"{n} columns; at most {MOST_COLUMNS} are tried")
    shape = np.broadcast_shapes(columns.shape[:-2], target.shape[:-1])
    best = np.zeros((*shape, n))
    least = np.broadcast_to(np.sum(target**2, axis=-1), shape).copy()
    for size in range(1, n + 1):
        for chosen in map(list, combinations(range(n), size)):
            part = columns[..., chosen]
            shares = np.einsum("...nm,...m->...n", np.linalg.pinv(part), target)
            misfit = np.sum((np.einsum("...mn,...n->...m", part, shares) - target) ** 2, axis=-1)
            better = np.all(shares >= 0, axis=-1) & (misfit < least)
            full = np.zeros((*shape, n))
            full[..., chosen] = shares
            best = np.where(better[..., None], full, best)
            least = np.where(better, misfit, least)
    return best
