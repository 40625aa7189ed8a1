import numpy as np
import pytest

from tests.drift.made import PIGMENT, cycle_of, reading
from webapp.drift.next_photo import next_photo
from webapp.drift.outliers import judged_series
from webapp.drift.prior import PRACTICE_ALONE
from webapp.drift.reading import DAYS_A_MONTH
from webapp.drift.series import make_series
from webapp.drift.trend import fit_trend

PRIOR = PRACTICE_ALONE.of("own_warmth", "hybrid", "", "", 0)


def test_what_is_promised_is_what_the_next_photo_brings() -> None:
    """The interval with the photo added, where it fits, is as narrow as was said; own scatter moves it a little."""
    months = (1.5, 4, 7)
    series = make_series(cycle_of([reading(m) for m in months]))
    trend = fit_trend(series)
    assert trend is not None
    promised = next_photo(list(series), trend, PRIOR)
    assert promised.half_width_then <= 2 / 3 * promised.half_width or promised.weeks == 52
    later = judged_series(cycle_of([reading(m) for m in (*months, 7 + promised.weeks * 7 / DAYS_A_MONTH)]))
    then = fit_trend(later)
    assert then is not None
    half = then.own_warmth.quantile * 12 * (then.own_warmth.stated**-2 + PRIOR.sd**-2) ** -0.5
    now = trend.own_warmth.quantile * 12 * (trend.own_warmth.stated**-2 + PRIOR.sd**-2) ** -0.5
    assert half / now == pytest.approx(promised.half_width_then / promised.half_width, rel=0.1)


def test_the_longer_watched_the_longer_the_wait() -> None:
    waits = []
    for end in (4, 10, 20):
        series = make_series(cycle_of([reading(m, PIGMENT) for m in np.linspace(1.5, 1.5 + end, 5)]))
        trend = fit_trend(series)
        assert trend is not None
        waits.append(next_photo(list(series), trend, PRIOR).weeks)
    assert waits == sorted(waits)
    assert waits[0] < waits[-1] <= 52
