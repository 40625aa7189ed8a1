from dataclasses import asdict, replace

import numpy as np
import pytest

from webapp.drift.rate import AS_STATED, MOST_TRUST
from webapp.drift.thresholds import BOUNDS, OUR_CHOICE, SOURCE, Thresholds, source_of


def test_the_published_figures() -> None:
    """Leow et al. 2006: 0.8 and 1.8 beside fair skin, 1.3 and 2.6 beside dark."""
    start = Thresholds()
    fair, dark = np.array([66.0, 11, 17]), np.array([38.0, 11, 15])
    assert [start.noticeable(s) for s in (fair, dark, None)] == [0.8, 1.3, 0.8]
    assert [start.unacceptable(s) for s in (fair, dark, None)] == [1.8, 2.6, 1.8]


@pytest.mark.parametrize(
    "junk", [{"no_such": 2.0}, {"density_lost": "x"}, {"density_lost": 5.0}, {"density_lost": None}]
)
def test_junk_in_the_store_changes_nothing(junk: dict[str, object]) -> None:
    assert Thresholds().with_own(junk) == Thresholds()


def test_a_studios_own_figures_stand_in_for_the_start_values() -> None:
    assert Thresholds().with_own({"density_lost": 0.3}) == replace(Thresholds(), density_lost=0.3)


def test_every_start_value_is_within_its_bounds_and_has_a_source() -> None:
    for name, value in asdict(Thresholds()).items():
        assert BOUNDS[name][0] <= value <= BOUNDS[name][1]
        assert source_of(name) in (SOURCE, OUR_CHOICE) or name == "noise_scale"


def test_noise_taken_over_is_believed_more_firmly() -> None:
    assert Thresholds().noise == AS_STATED
    own = Thresholds(noise_scale=0.5).noise
    assert (own.scale, own.trust) == (0.5, MOST_TRUST)
