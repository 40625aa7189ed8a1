"""Who is due: for a healed check, for a photo, for a colour boost."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date, timedelta
from typing import Literal

from webapp.drift.reading import DAYS_A_MONTH

What = Literal["healed check", "photo", "colour boost"]
WHATS: tuple[What, ...] = ("healed check", "photo", "colour boost")


@dataclass(frozen=True)
class Intervals:
    """The studio's own intervals. The start values are common practice, no source."""

    healed_check_days: int = 42
    photo_months: int = 12
    boost_months: int = 18
    ahead_days: int = 14
    """From so many days before its day a visit is listed."""

    def with_own(self, own: dict[str, object]) -> Intervals:
        """Give the intervals with the studio's own in place; what is not a number within its bounds is left out."""
        known = {f.name: getattr(self, f.name) for f in fields(self)}
        for name, (low, high) in BOUNDS.items():
            value = own.get(name)
            if isinstance(value, int) and not isinstance(value, bool) and low <= value <= high:
                known[name] = value
        return Intervals(**known)


BOUNDS: dict[str, tuple[int, int]] = {
    "healed_check_days": (28, 180),
    "photo_months": (1, 60),
    "boost_months": (3, 120),
    "ahead_days": (0, 90),
}


@dataclass(frozen=True)
class Forecast:
    """When a colour boost is foreseen from the work's own photos: the day, None where beyond ten years, and 95 %."""

    on: date | None
    earliest: date | None
    latest: date | None


@dataclass(frozen=True)
class WorkDates:
    """What decides when a work is due.

    `session_on` of the last session in which the studio put pigment in, None where there is none; `healed_on` of the
    last healed photo since; `photo_on` of the last photo of all; `forecast` None where the photos allow none yet.
    """

    session_on: date | None
    healed_on: date | None
    photo_on: date | None
    forecast: Forecast | None


@dataclass(frozen=True)
class Due:
    """One visit that is due on a day; `forecast` where it was foreseen from photos and not only counted from a date."""

    what: What
    on: date
    forecast: Forecast | None = None


def due_of(dates: WorkDates, intervals: Intervals, today: date) -> tuple[Due, ...]:
    """Give what a work is due for on a day, or will be within the studio's days ahead.

    A healed check is due until the next photo would be anyway; from then on it is that photo that is missing.
    """
    listed_until = today + timedelta(days=intervals.ahead_days)
    found = []
    photo_from = max((d for d in (dates.photo_on, dates.session_on) if d is not None), default=None)
    photo_on = None if photo_from is None else _months_after(photo_from, intervals.photo_months)
    if dates.session_on is not None and dates.healed_on is None and (photo_on is None or photo_on > listed_until):
        found.append(Due("healed check", dates.session_on + timedelta(days=intervals.healed_check_days)))
    if photo_on is not None:
        found.append(Due("photo", photo_on))
    boost = _boost(dates, intervals)
    if boost is not None:
        found.append(boost)
    return tuple(d for d in found if d.on <= listed_until)


def _boost(dates: WorkDates, intervals: Intervals) -> Due | None:
    """By forecast where there is one, until then by date."""
    if dates.forecast is not None:
        return None if dates.forecast.on is None else Due("colour boost", dates.forecast.on, dates.forecast)
    if dates.session_on is None:
        return None
    return Due("colour boost", _months_after(dates.session_on, intervals.boost_months))


def _months_after(day: date, months: int) -> date:
    return day + timedelta(days=round(months * DAYS_A_MONTH))
