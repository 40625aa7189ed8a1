"""Random-effects pooling against a published worked example and an independent implementation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.meta_analysis import combine_effects

from tests.properties import numbers, steady
from webapp.drift.pooling import pool

# Thirteen trials of one vaccine: ill and well among the vaccinated, ill and well among the others.
# Source: Colditz et al. 1994, JAMA 271: 698–702, as tabulated by van Houwelingen et al. 2002, Stat. Med. 21: 589–624.
TRIALS = np.array(
    [
        (4, 119, 11, 128),
        (6, 300, 29, 274),
        (3, 228, 11, 209),
        (62, 13536, 248, 12619),
        (33, 5036, 47, 5761),
        (180, 1361, 372, 1079),
        (8, 2537, 10, 619),
        (505, 87886, 499, 87892),
        (29, 7470, 45, 7232),
        (17, 1699, 65, 1600),
        (186, 50448, 141, 27197),
        (5, 2493, 3, 2338),
        (27, 16886, 29, 17825),
    ],
    dtype=float,
)
LATITUDE = np.array([44, 55, 42, 52, 13, 44, 19, 13, 27, 42, 18, 33, 33], dtype=float)


def log_risk_ratios() -> tuple[np.ndarray, np.ndarray]:
    """Give the log risk ratios and their standard errors (delta method)."""
    ill, well, others_ill, others_well = TRIALS.T
    rates = np.log(ill / (ill + well)) - np.log(others_ill / (others_ill + others_well))
    variance = 1 / ill - 1 / (ill + well) + 1 / others_ill - 1 / (others_ill + others_well)
    return rates, np.sqrt(variance)


def test_the_thirteen_vaccine_trials() -> None:
    """Published DerSimonian–Laird fit of log risk ratios: μ −0.7141, se 0.1787, τ² 0.3088, I² 92.12 %, Q 152.2330.

    Source: Viechtbauer 2010, J. Stat. Softw. 36(3), and that package's own published checks (−0.7141, interval −1.0644
    to −0.3638). The plain standard error follows from τ²; ours is the modified one, checked further below.
    """
    rates, ses = log_risk_ratios()
    pooled = pool(rates, ses)
    assert pooled.mean == pytest.approx(-0.7141, abs=5e-5)
    assert pooled.tau2 == pytest.approx(0.3088, abs=5e-5)
    assert pooled.i2 == pytest.approx(0.9212, abs=5e-5)
    assert pooled.q == pytest.approx(152.2330, abs=5e-5)
    plain = np.sum(1 / (ses**2 + pooled.tau2)) ** -0.5
    assert plain == pytest.approx(0.1787, abs=5e-5)
    assert pooled.mean - 1.959964 * plain == pytest.approx(-1.0644, abs=5e-5)
    assert pooled.mean + 1.959964 * plain == pytest.approx(-0.3638, abs=5e-5)


@steady
@given(st.integers(0, 2**32 - 1), st.integers(2, 40), numbers(0, 1))
def test_pooling_equals_the_reference_implementation(seed: int, count: int, spread: float) -> None:
    """Against statsmodels' combine_effects to 1e-6.

    That keeps a negative τ² as it comes out; where it does, the fixed-effect figures are the ones to equal. Its
    interval after Hartung and Knapp is equalled where that is the wider one, as the modification asks.
    """
    rng = np.random.default_rng(seed)
    ses = rng.uniform(0.05, 1, count)
    rates = rng.normal(0.2, np.sqrt(ses**2 + spread**2))
    ours = pool(rates, ses)
    with np.errstate(invalid="ignore"):  # its errors under a negative τ² are no numbers
        theirs = combine_effects(rates, ses**2, method_re="dl", use_t=True)
        intervals = theirs.conf_int()
    assert ours.q == pytest.approx(theirs.q, abs=1e-6)
    assert ours.i2 == pytest.approx(max(theirs.i2, 0), abs=1e-6)
    assert ours.tau2 == pytest.approx(max(theirs.tau2, 0), abs=1e-6)
    if theirs.tau2 < 0:
        mean, plain, hartung_knapp = theirs.mean_effect_fe, theirs.sd_eff_w_fe, theirs.sd_eff_w_fe_hksj
        interval = intervals[2]
    else:
        mean, plain, hartung_knapp = theirs.mean_effect_re, theirs.sd_eff_w_re, theirs.sd_eff_w_re_hksj
        interval = intervals[3]
    assert ours.mean == pytest.approx(mean, abs=1e-6)
    assert ours.se == pytest.approx(max(plain, hartung_knapp), abs=1e-6)
    if hartung_knapp >= plain:
        assert ours.interval == pytest.approx(tuple(interval), abs=1e-6)
