"""A day as roughly as it is known: a year, a month, or the day itself."""

from __future__ import annotations

import re
from datetime import date

from webapp.pages.form import Form

_MIDDLES = {4: "-07-01", 7: "-15"}
"""What a year or a month lacks of a day: its middle, from which the true day is never far."""


def rough_day(form: Form, name: str, today: date | None = None) -> tuple[date, bool]:
    """Give the day of a field that holds 2019, 2019-05 or 2019-05-12, and whether it is rough.

    The middle of this year or month may lie ahead; it is then today. A field that holds something else, or a
    day to come, is an error of the form.
    """
    today = today or date.today()
    entered = form[name].strip()
    if not re.fullmatch(r"\d{4}(-\d{2}(-\d{2})?)?", entered):
        form.errors[name] = "Give the year, or year-month, or year-month-day, for example 2019 or 2019-05."
        return today, True
    is_rough = len(entered) in _MIDDLES
    filled = entered + _MIDDLES.get(len(entered), "")
    if is_rough and today.isoformat().startswith(entered):
        filled = min(filled, today.isoformat())
    checked = Form({name: filled})
    day = checked.day(name, today=today)
    form.errors |= checked.errors
    return day, is_rough
