from datetime import date

import numpy as np
import pytest

from tests.drift.made import WARM, YEAR, cycle_of, day, faded, reading
from webapp.drift.assessment import Assessment, assess
from webapp.drift.fading import Fading
from webapp.drift.forecast import boost_due
from webapp.drift.own_shift import OwnShift
from webapp.drift.rate import Rate
from webapp.drift.reading import DAYS_A_MONTH
from webapp.drift.thresholds import Thresholds

START = date(2024, 3, 1)
STILL = OwnShift(np.zeros(2), np.diag([0.01, 0.01]), 12, 20)


def fading(rate: float, se: float = 0.002) -> Fading:
    return Fading("exponential", Rate(rate, se, 12), 0.9, 0.0, 5)


def months(on: date | None) -> float:
    assert on is not None
    return (on - START).days / DAYS_A_MONTH


def test_density_is_due_when_the_studios_share_is_lost() -> None:
    due = boost_due(START, 1.8, STILL, fading(0.03), Thresholds(boost_density_lost=0.5))
    assert due is not None
    assert due.because == "density"
    assert months(due.on) == pytest.approx(np.log(2) / 0.03, abs=0.05)
    assert months(due.earliest) < months(due.on) < months(due.latest)


def test_colour_is_due_first_where_it_turns_faster() -> None:
    turning = OwnShift(np.array([0.3, 0.0]), np.diag([0.0004, 0.0004]), 12, 1e9)
    due = boost_due(START, 1.8, turning, fading(0.01), Thresholds())
    assert due is not None
    assert due.because == "colour"
    assert months(due.on) == pytest.approx(6, abs=0.05)


def test_a_shift_that_is_not_sure_foretells_nothing() -> None:
    unsure = OwnShift(np.array([0.1, 0.0]), np.diag([0.01, 0.01]), 12, 20)
    assert boost_due(START, 1.8, unsure, None, Thresholds()) is None
    assert boost_due(START, 1.8, None, None, Thresholds()) is None


def test_an_end_beyond_ten_years_is_left_open() -> None:
    due = boost_due(START, 1.8, STILL, fading(0.01, 0.006), Thresholds())
    assert due is not None
    assert due.on is not None
    assert due.latest is None
    assert boost_due(START, 1.8, STILL, fading(0.0001, 0.0001), Thresholds()) is None


def assessed(warmth: float = 0.0, left: float = 1.0, often: tuple[float, ...] = YEAR) -> Assessment:
    return assess(
        cycle_of([reading(m, faded(left ** (m - often[0])) + WARM * warmth * (m - often[0])) for m in often]),
        Thresholds(),
    )


def test_the_outlook_of_a_fading_work_goes_on_from_its_baseline() -> None:
    told = assessed(left=0.96, often=(1.5, 4, 7, 10, 13, 16, 19)).outlook
    assert told is not None
    assert told.since is not None
    assert (told.since - day(1.5)).days / DAYS_A_MONTH == pytest.approx(np.log(0.75) / np.log(0.96), abs=0.6)
    assert told.expected == pytest.approx(100 * (1 - 0.96**29.5), abs=2)
    assert told.low < told.expected < told.high
    assert told.sure > 0.99


def test_the_outlook_of_a_turning_work_is_how_far_it_will_have_gone() -> None:
    told = assessed(warmth=0.5, often=(1.5, 3, 5, 7, 9, 11, 13, 15)).outlook
    assert told is not None
    assert told.expected == pytest.approx(0.5 * 25.5, abs=0.7)
    assert told.since is not None
    assert "warm" in told.sure_of


def test_a_steady_work_is_sure_the_longer_it_is_watched() -> None:
    few, many = assessed(often=(1.5, 5, 9)).outlook, assessed(often=tuple(np.linspace(1.5, 9, 20))).outlook
    assert few is not None
    assert many is not None
    assert few.sure < many.sure
    assert few.low < 0 < few.high
