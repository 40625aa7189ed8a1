"""The age of a bottle: until when its label lets it be used, and what to say where that is over."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

State = Literal["unopened", "in use", "soon over", "over age", "expired", "empty"]
SOON_DAYS = 30
"""From so many days before its end a bottle is said to end soon. Common practice, no source."""


@dataclass(frozen=True)
class BottleDates:
    """What a bottle's label and the artist say of its age; what is not known is None."""

    opened_on: date | None = None
    expires_on: date | None = None
    months_after_opening: int | None = None
    empty_on: date | None = None

    @property
    def over_age_after(self) -> date | None:
        """The last day of the stated time after opening."""
        if self.opened_on is None or self.months_after_opening is None:
            return None
        return add_months(self.opened_on, self.months_after_opening)

    @property
    def use_until(self) -> date | None:
        """The last day on which the label lets it be used, None where the label does not say."""
        ends = [day for day in (self.expires_on, self.over_age_after) if day is not None]
        return min(ends, default=None)

    def state(self, on: date) -> State:
        """Say how the bottle stands on a day."""
        if self.empty_on is not None and self.empty_on <= on:
            return "empty"
        if self.expires_on is not None and self.expires_on < on:
            return "expired"
        if self.over_age_after is not None and self.over_age_after < on:
            return "over age"
        if self.use_until is not None and self.use_until - on <= timedelta(days=SOON_DAYS):
            return "soon over"
        return "unopened" if self.opened_on is None or self.opened_on > on else "in use"

    def months_open(self, on: date) -> int | None:
        """Give the whole months since it was opened, None where it was not yet."""
        if self.opened_on is None or self.opened_on > on:
            return None
        months = (on.year - self.opened_on.year) * 12 + on.month - self.opened_on.month
        return months if add_months(self.opened_on, months) <= on else months - 1


def add_months(day: date, months: int) -> date:
    """Give the same day of a later month, or that month's last where it has no such day."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if year > date.max.year:
        return date.max
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def read_label_day(text: str) -> date | None:
    """Read a day as labels print it: 2026-03-31, 31.03.2026, 2026-03 or 03/2026, a month meaning its last day.

    None where it is none of these.
    """
    text = text.strip()
    for pattern in (
        r"(?P<y>\d{4})[-./](?P<m>\d{1,2})(?:[-./](?P<d>\d{1,2}))?",
        r"(?:(?P<d>\d{1,2})[-./])?(?P<m>\d{1,2})[-./](?P<y>\d{4})",
    ):
        found = re.fullmatch(pattern, text, re.ASCII)
        if found is None:
            continue
        year, month = int(found["y"]), int(found["m"])
        if not (1990 <= year <= 2100 and 1 <= month <= 12):
            return None
        last = calendar.monthrange(year, month)[1]
        day = int(found["d"]) if found["d"] else last
        return date(year, month, day) if 1 <= day <= last else None
    return None
