from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.properties import steady
from webapp.pigments.bottle_age import SOON_DAYS, BottleDates, add_months, read_label_day

days = st.dates(date(1995, 1, 1), date(2090, 12, 31))
months = st.integers(0, 60)


@pytest.mark.parametrize(
    ("day", "count", "later"),
    [
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 3, 31), 6, date(2026, 9, 30)),
        (date(2026, 12, 31), 2, date(2027, 2, 28)),
        (date(2026, 5, 5), 0, date(2026, 5, 5)),
        (date(9999, 6, 1), 12, date.max),
    ],
)
def test_months_end_where_the_month_does(day: date, count: int, later: date) -> None:
    assert add_months(day, count) == later


@steady
@given(days, months, months)
def test_months_add_up_but_for_short_months(day: date, first: int, second: int) -> None:
    direct, stepwise = add_months(day, first + second), add_months(add_months(day, first), second)
    assert stepwise <= direct
    assert (direct.year, direct.month) == (stepwise.year, stepwise.month)
    if day.day <= 28:
        assert direct == stepwise


@steady
@given(days, days)
def test_months_open_are_whole_ones(opened: date, on: date) -> None:
    count = BottleDates(opened_on=opened).months_open(on)
    if on < opened:
        assert count is None
    else:
        assert count is not None
        assert add_months(opened, count) <= on < add_months(opened, count + 1)


@steady
@given(days, months, days, days)
def test_a_bottle_grows_old_in_one_direction(opened: date, count: int, expires: date, on: date) -> None:
    order = ["unopened", "in use", "soon over", "over age", "expired"]
    bottle = BottleDates(opened, expires, count)
    assert bottle.use_until == min(expires, add_months(opened, count))
    now, later = (order.index(bottle.state(d)) for d in (on, on + timedelta(days=400)))
    assert now <= later
    assert (on > bottle.use_until) == (bottle.state(on) in ("over age", "expired"))


@pytest.mark.parametrize(
    ("bottle", "state"),
    [
        (BottleDates(), "unopened"),
        (BottleDates(opened_on=date(2026, 1, 1)), "in use"),
        (BottleDates(expires_on=date(2026, 6, 14)), "expired"),
        (BottleDates(expires_on=date(2026, 6, 15)), "soon over"),
        (BottleDates(expires_on=date(2026, 6, 15) + timedelta(days=SOON_DAYS + 1)), "unopened"),
        (BottleDates(opened_on=date(2025, 6, 14), months_after_opening=12), "over age"),
        (BottleDates(opened_on=date(2025, 6, 15), months_after_opening=12), "soon over"),
        (BottleDates(months_after_opening=12), "unopened"),
        (BottleDates(expires_on=date(2020, 1, 1), empty_on=date(2026, 6, 15)), "empty"),
        (BottleDates(opened_on=date(2026, 1, 1), empty_on=date(2026, 6, 16)), "in use"),
    ],
)
def test_how_a_bottle_stands(bottle: BottleDates, state: str) -> None:
    assert bottle.state(date(2026, 6, 15)) == state


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2027-03-05", date(2027, 3, 5)),
        ("05.03.2027", date(2027, 3, 5)),
        ("5/3/2027", date(2027, 3, 5)),
        ("2027-03", date(2027, 3, 31)),
        ("03/2027", date(2027, 3, 31)),
        ("02.2028", date(2028, 2, 29)),
        (" 2027/2 ", date(2027, 2, 28)),
        ("2027-02-30", None),
        ("2027-13", None),
        ("next spring", None),
        ("", None),
        ("1889-01-01", None),
        ("２０２７-03", None),
    ],
)
def test_a_day_is_read_as_labels_print_it(text: str, day: date | None) -> None:
    assert read_label_day(text) == day


@steady
@given(days)
def test_every_day_written_out_is_read_back(day: date) -> None:
    assert read_label_day(day.isoformat()) == read_label_day(f"{day:%d.%m.%Y}") == day
