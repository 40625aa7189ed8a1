from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st

from tests.properties import steady
from tests.published.test_random_effects import LATITUDE, log_risk_ratios
from webapp.drift.adjusting import adjust
from webapp.drift.groups import CycleRates
from webapp.drift.meta_regression import regress
from webapp.drift.pooling import pool


def test_without_moderators_it_is_pooling() -> None:
    rates, ses = log_risk_ratios()
    fitted = regress(rates, ses, np.ones((13, 1)), np.arange(13))
    pooled = pool(rates, ses)
    assert fitted is not None
    assert fitted.value(np.ones(1)) == pytest.approx(pooled.mean)
    assert fitted.se(np.ones(1)) == pytest.approx(pooled.se)
    assert fitted.tau2 == pytest.approx(pooled.tau2)
    assert fitted.interval(np.ones(1)) == pytest.approx(pooled.interval)


def test_the_vaccine_trials_by_latitude() -> None:
    """Log risk ratios on latitude, moment estimate: τ² 0.0633, intercept 0.2595, slope −0.0292 a degree.

    These three from memory of the trials' often printed regression; the same fit by statsmodels' weighted least
    squares, given τ², is asked below for its coefficients and errors.
    """
    rates, ses = log_risk_ratios()
    design = np.column_stack([np.ones(13), LATITUDE])
    fitted = regress(rates, ses, design, np.arange(13))
    assert fitted is not None
    assert fitted.tau2 == pytest.approx(0.0633, abs=5e-5)
    assert fitted.coefficients == pytest.approx([0.2595, -0.0292], abs=5e-5)
    theirs = sm.WLS(rates, design, weights=1 / (ses**2 + fitted.tau2)).fit()
    assert fitted.coefficients == pytest.approx(theirs.params, abs=1e-9)
    scale = max(theirs.scale, 1.0)
    errors = np.sqrt(np.diag(theirs.normalized_cov_params) * scale)
    assert [fitted.se(np.eye(2)[i]) for i in range(2)] == pytest.approx(errors, rel=1e-6)


@steady
@given(st.integers(0, 2**32 - 1))
def test_the_moment_estimate_gives_back_its_own_expectation(seed: int) -> None:
    """By an independent way to τ²: Q's expectation by the full covariance of the residuals, solved for τ²."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(8, 30))
    ses = rng.uniform(0.1, 0.6, n)
    design = np.column_stack([np.ones(n), rng.normal(size=n), rng.integers(0, 2, n)])
    rates = rng.normal(0, np.sqrt(ses**2 + 0.3))
    fitted = regress(rates, ses, design, np.arange(n))
    assert fitted is not None
    weight = np.diag(ses**-2)
    hat = design @ np.linalg.pinv(design.T @ weight @ design) @ design.T @ weight
    form = (np.eye(n) - hat).T @ weight @ (np.eye(n) - hat)
    expected = (rates @ form @ rates - np.trace(form @ np.diag(ses**2))) / np.trace(form)
    assert fitted.tau2 == pytest.approx(max(expected, 0), abs=1e-8)


def studio(
    effect: dict[str, float],
    artist_effect: dict[str, float],
    cells: dict[tuple[str, str], int],
    seed: int = 0,
    scatter: float = 0.1,
) -> list[CycleRates]:
    """Give so many clients for each (family, artist), each with her rate."""
    rng = np.random.default_rng(seed)
    made = []
    for (family, artist), count in cells.items():
        for _ in range(count):
            rate = effect[family] + artist_effect[artist] + rng.normal(0, scatter)
            traits = {"family": family, "artist": artist}
            made.append(CycleRates(len(made), len(made), traits, {"warmth": (rate, 0.05)}))
    return made


FAMILIES = {"carbon": -1.0, "hybrid": 0.0, "iron": 1.0}
ARTISTS = {"Ines": 0.0, "Oda": 2.0, "Kim": -1.0}


def test_an_artist_who_does_all_the_difficult_skins_is_not_blamed_on_the_pigment() -> None:
    """Both pigments drift alike; Oda's works all drift more, and she mostly uses iron."""
    same = {"carbon": 0.0, "iron": 0.0}
    cells = {("carbon", "Ines"): 20, ("carbon", "Oda"): 4, ("iron", "Ines"): 4, ("iron", "Oda"): 20}
    cycles = studio(same, ARTISTS, cells)
    adjusted = adjust(cycles, ["family"], ["artist"], "warmth")
    carbon, iron = adjusted.rates[("carbon",)], adjusted.rates[("iron",)]
    assert abs(iron.mean - carbon.mean) < 0.15
    assert not adjusted.pairs[0].real
    assert adjusted.sentences == ()
    plain = [pool(*np.array([c.rates["warmth"] for c in cycles if c.traits["family"] == f]).T) for f in same]
    assert plain[1].mean - plain[0].mean > 1


def test_a_pigment_that_only_one_artist_uses_cannot_be_adjusted_and_is_named() -> None:
    cells = {
        ("carbon", "Ines"): 8,
        ("carbon", "Oda"): 8,
        ("hybrid", "Ines"): 8,
        ("hybrid", "Oda"): 8,
        ("iron", "Kim"): 9,
    }
    adjusted = adjust(studio(FAMILIES, ARTISTS, cells), ["family"], ["artist"], "warmth")
    assert set(adjusted.rates) == {("carbon",), ("hybrid",)}
    (sentence,) = adjusted.sentences
    assert "“iron”" in sentence
    assert "artist" in sentence
    assert adjusted.rates[("hybrid",)].mean - adjusted.rates[("carbon",)].mean == pytest.approx(1, abs=0.1)


def test_where_everything_goes_together_nothing_is_adjusted() -> None:
    cells = {("carbon", "Ines"): 8, ("hybrid", "Oda"): 8}
    adjusted = adjust(studio(FAMILIES, ARTISTS, cells), ["family"], ["artist"], "warmth")
    assert adjusted.rates == {}
    assert adjusted.pairs == ()
    assert len(adjusted.sentences) == 1


def test_small_groups_are_left_out_and_one_group_is_no_comparison() -> None:
    cells = {("carbon", "Ines"): 8, ("hybrid", "Ines"): 3}
    adjusted = adjust(studio(FAMILIES, ARTISTS, cells), ["family"], ["artist"], "warmth")
    assert adjusted.rates == {}
    assert "not two groups" in adjusted.sentences[0]


def test_too_many_moderators_for_the_clients_is_said() -> None:
    rng = np.random.default_rng(1)
    cycles = [
        CycleRates(i, i, {"family": f, "pigment": str(i // 2), "artist": "x"}, {"warmth": (rng.normal(), 0.1)})
        for i, f in enumerate(["carbon", "iron"] * 6)
    ]
    adjusted = adjust(cycles, ["family"], ["pigment"], "warmth")
    assert adjusted.rates
    cycles = [
        CycleRates(c.client // 2, c.work, {**c.traits, "pigment": str(c.client // 2)}, c.rates) for c in cycles[:10]
    ]
    assert "too few" in adjust(cycles, ["family"], ["pigment"], "warmth").sentences[0]


def test_two_entries_of_one_client_do_not_count_as_two_clients() -> None:
    """Every client twice with the very same rate: the error must not shrink by √2."""
    once = studio(FAMILIES, ARTISTS, {("carbon", "Ines"): 10, ("iron", "Ines"): 10}, scatter=0.5)
    twice = []
    for c in once:
        for i, technique in enumerate(("powder", "strokes")):
            twice.append(CycleRates(c.client, 2 * c.work + i, {**c.traits, "technique": technique}, c.rates))
    single = adjust(once, ["family"], ["artist"], "warmth").pairs[0]
    double = adjust(twice, ["family"], ["technique"], "warmth").pairs[0]
    assert double.se > 0.9 * single.se
    assert double.freedom <= single.freedom


def test_adjusted_intervals_hold_the_truth_as_often_as_they_claim() -> None:
    """400 studios, unbalanced over artists: the interval of the difference holds it in 95 %, within three errors."""
    held = 0
    cells = {("carbon", "Ines"): 6, ("carbon", "Oda"): 3, ("iron", "Ines"): 3, ("iron", "Oda"): 6}
    for seed in range(400):
        pair = adjust(studio(FAMILIES, ARTISTS, cells, seed, 0.5), ["family"], ["artist"], "warmth").pairs[0]
        held += pair.interval[0] < -2 < pair.interval[1]
    assert held / 400 == pytest.approx(0.95, abs=3 * np.sqrt(0.05 * 0.95 / 400))
