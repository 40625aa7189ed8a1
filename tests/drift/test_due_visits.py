from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from tests.properties import steady
from webapp.drift.due import BOUNDS, Forecast, Intervals, WorkDates, due_of

USUAL = Intervals()
SESSION = date(2025, 3, 1)
DAYS = st.dates(date(2020, 1, 1), date(2030, 12, 31))


def due(today: date, intervals: Intervals = USUAL, **dates: object) -> dict[str, date]:
    known = {"session_on": SESSION, "healed_on": None, "photo_on": None, "forecast": None} | dates
    return {d.what: d.on for d in due_of(WorkDates(**known), intervals, today)}


def test_a_healed_check_is_listed_from_the_days_ahead_on() -> None:
    on = SESSION + timedelta(days=42)
    assert due(on - timedelta(days=15)) == {}
    assert due(on - timedelta(days=14)) == {"healed check": on}
    assert due(on + timedelta(days=100)) == {"healed check": on}


def test_a_healed_photo_ends_it_and_a_photo_amid_healing_does_not() -> None:
    today = SESSION + timedelta(days=60)
    assert due(today, healed_on=SESSION + timedelta(days=45), photo_on=SESSION + timedelta(days=45)) == {}
    assert "healed check" in due(today, photo_on=SESSION + timedelta(days=10))


def test_a_check_that_never_came_is_a_missing_photo_after_a_year() -> None:
    assert set(due(SESSION + timedelta(days=400))) == {"photo"}


def test_the_next_photo_counts_from_the_last_or_from_the_session() -> None:
    photo = date(2025, 6, 1)
    assert due(date(2026, 6, 1), healed_on=photo, photo_on=photo) == {"photo": photo + timedelta(days=365)}
    assert due(date(2026, 5, 10), healed_on=photo, photo_on=photo) == {}


def test_a_work_before_its_first_session_is_due_for_nothing_but_a_photo() -> None:
    photo = date(2024, 1, 1)
    assert set(due(date(2026, 1, 1), session_on=None, photo_on=photo)) == {"photo"}
    assert due(date(2026, 1, 1), session_on=None) == {}


def test_a_colour_boost_goes_by_forecast_and_until_then_by_date() -> None:
    photo = date(2026, 8, 1)
    today = date(2026, 9, 10)
    kept = {"healed_on": photo, "photo_on": photo}
    assert due(today, **kept) == {"colour boost": SESSION + timedelta(days=548)}
    assert due(today, **kept, forecast=Forecast(date(2026, 9, 1), None, None)) == {"colour boost": date(2026, 9, 1)}
    assert due(today, **kept, forecast=Forecast(date(2027, 9, 1), None, None)) == {}
    assert due(today, **kept, forecast=Forecast(None, date(2029, 1, 1), None)) == {}, "beyond ten years"


@steady
@given(DAYS, DAYS, DAYS, st.integers(0, 60))
def test_what_is_due_stays_due_until_something_is_done(session: date, photo: date, today: date, later: int) -> None:
    dates = WorkDates(session, None, min(session, photo), None)
    now, then = (due_of(dates, USUAL, t) for t in (today, today + timedelta(days=later)))
    days = {d.what: d.on for d in then}
    for item in now:
        assert item.what in days or (item.what == "healed check" and "photo" in days)


@steady
@given(st.dictionaries(st.sampled_from([*BOUNDS, "other"]), st.one_of(st.integers(-5, 500), st.text(), st.none())))
def test_stored_intervals_that_make_no_sense_are_left_out(own: dict[str, object]) -> None:
    chosen = Intervals().with_own(own)
    for name, (low, high) in BOUNDS.items():
        assert low <= getattr(chosen, name) <= high
