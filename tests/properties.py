"""What the property tests share: how examples are drawn, and colours to draw."""

import numpy as np
from hypothesis import settings
from hypothesis import strategies as st
from numpy.typing import NDArray

# No deadline, since a slow machine is no bug; the same examples every time, so that a failure can be repeated.
steady = settings(deadline=None, derandomize=True, database=None, max_examples=60)


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, width=64)


def triples(*ranges: tuple[float, float]) -> st.SearchStrategy[NDArray[np.floating]]:
    return st.tuples(*(numbers(*r) for r in ranges)).map(np.array)


any_lab = triples((0, 100), (-100, 100), (-100, 100))
skin_lab = triples((25, 80), (5, 18), (8, 24))
pigment_lab = triples((15, 60), (-4, 14), (-4, 20))
linear_light = triples((0.001, 1), (0.001, 1), (0.001, 1))
