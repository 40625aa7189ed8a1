import numpy as np
import pytest
from hypothesis import given

from tests.drift.made import PIGMENT, SKIN, WARM, YEAR, cycle_of, faded, reading, series_of
from tests.properties import numbers, steady
from webapp.drift.noise import ANCHORED_CAMERA_SD
from webapp.drift.series import make_series
from webapp.drift.trend import FEWEST_PHOTOS, fit_trend

CROSS = np.array([0.0, -WARM[2], WARM[1]])


@given(slope=numbers(-0.5, 0.5))
@steady
def test_a_known_drift_is_found(slope: float) -> None:
    trend = fit_trend(series_of(lambda m: PIGMENT + WARM * slope * m))
    assert trend is not None
    assert trend.warmth.per_month == pytest.approx(slope, abs=0.002)
    assert trend.own_warmth.per_month == pytest.approx(slope, abs=0.03)
    assert trend.own_cross.per_month == pytest.approx(0, abs=0.03)
    assert trend.a.per_month == pytest.approx(slope * np.cos(np.radians(50)), abs=0.002)
    assert trend.b.per_month == pytest.approx(slope * np.sin(np.radians(50)), abs=0.002)
    assert trend.lightness.per_month == pytest.approx(0, abs=1e-6)


def test_a_drift_across_the_warmth_axis_is_found_there() -> None:
    trend = fit_trend(series_of(lambda m: PIGMENT + CROSS * 0.3 * m))
    assert trend is not None
    assert trend.own_cross.per_month == pytest.approx(0.3, abs=0.02)
    assert trend.own_warmth.per_month == pytest.approx(0, abs=0.02)


def test_fading_is_a_loss_of_density() -> None:
    trend = fit_trend(series_of(lambda m: faded(np.exp(-0.03 * m))))
    assert trend is not None
    assert trend.density is not None
    assert trend.fading is not None
    assert trend.fading.rate.per_month == pytest.approx(0.03, rel=0.05)
    assert trend.density.per_month < -0.01
    assert trend.lightness.per_month > 0.3
    assert trend.own_warmth.change == pytest.approx(0, abs=0.3), "nothing of its own"


@pytest.mark.parametrize("months", [(2,), (2, 2, 2)], ids=["one", "three on one day"])
def test_too_few_photos_make_no_trend(months: tuple[float, ...]) -> None:
    readings = [reading(m, key=i) for i, m in enumerate(months)]
    assert fit_trend(make_series(cycle_of(readings))) is None


def test_two_photos_have_a_rate_though_an_unsure_one() -> None:
    two, five = (fit_trend(series_of(lambda m: PIGMENT + WARM * 0.2 * m, months)) for months in ((1.5, 13), YEAR))
    assert FEWEST_PHOTOS == 2
    assert two is not None
    assert five is not None
    assert two.photos == 2
    assert two.own_warmth.per_month == pytest.approx(0.2, abs=0.02)
    assert two.own_warmth.half_width > five.own_warmth.half_width


def test_only_healed_sound_photos_count() -> None:
    wild = np.array([60.0, -5, 20])
    readings = [reading(m) for m in (2, 5, 9)] + [reading(0.3, wild), reading(6, wild, sound=False)]
    trend = fit_trend(make_series(cycle_of(readings)))
    assert trend is not None
    assert trend.photos == 3
    assert trend.lightness.per_month == pytest.approx(0, abs=1e-6)
    assert trend.months == pytest.approx(7, abs=0.05)


def test_density_is_left_out_where_the_baseline_shows_no_skin() -> None:
    trend = fit_trend(series_of(lambda _: PIGMENT, skin=lambda m: SKIN if m != YEAR[0] else None))
    assert trend is not None
    assert trend.density is None
    assert trend.density_at_start is None
    assert trend.fading is None


def test_the_error_of_the_own_shift_is_what_drawn_photos_show() -> None:
    """Photos of one fading work, drawn anew with the noise that is stated: the rates scatter as their errors say.

    Half of the density is lost on the way, so that the baseline's own error counts.
    """
    rng = np.random.default_rng(7)
    rates = []
    for _ in range(500):
        readings = [
            reading(m, faded(np.exp(-0.06 * (m - YEAR[0]))) + rng.normal(0, ANCHORED_CAMERA_SD / np.sqrt(2)))
            for m in YEAR
        ]
        trend = fit_trend(make_series(cycle_of(readings)))
        assert trend is not None
        rates.append((trend.own_warmth, trend.own_cross))
    for axis in (0, 1):
        seen = np.std([r[axis].per_month for r in rates])
        assert seen == pytest.approx(np.mean([r[axis].stated for r in rates]), rel=0.1)
        assert np.mean([abs(r[axis].per_month) < r[axis].half_width for r in rates]) > 0.93
