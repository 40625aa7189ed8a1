"""Means over square blocks: neighbouring pixels are not independent, blocks nearly are."""

from __future__ import annotations

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.photo.polygon import Mask


def block_means(values: Floats, weight: Floats | Mask, across: int) -> Floats:
    """Give the (n, 3) means of (h, w, 3) values over blocks, by (h, w) weights or a mask.

    The weighted area's longer side is cut into `across` blocks. A block counts where it holds at least a third
    of the fullest block's weight.
    """
    rows, columns = np.nonzero(weight)
    extent = max(np.ptp(rows), np.ptp(columns)) + 1
    side = max(int(np.ceil(extent / across)), 1)
    block_row, block_column = (rows - rows.min()) // side, (columns - columns.min()) // side
    index = block_row * (block_column.max() + 1) + block_column
    own = weight[rows, columns].astype(float)
    counts = np.bincount(index, own)
    sums = np.stack([np.bincount(index, own * values[rows, columns, c]) for c in range(3)], axis=1)
    full = counts >= counts.max() / 3
    return np.asarray(sums[full] / counts[full, None])
