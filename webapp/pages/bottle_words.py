"""A bottle in words: its name, how old it is, and a calm caution where its time is over."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from webapp.pages.label_rows import bottle_dates
from webapp.pages.render import plain_day
from webapp.pigments.bottle_age import State
from webapp.records.tables import Bottle

_CHECK = "Local law and the maker's label say whether it may still be used."


@dataclass(frozen=True)
class BottleWords:
    """What a page says of a bottle on a day; `caution` is empty where there is nothing to look at."""

    bottle: Bottle
    name: str
    state: State
    age: str
    caution: str


def bottle_words(bottle: Bottle, on: date) -> BottleWords:
    """Write a bottle as it stands on a day."""
    dates = bottle_dates(bottle)
    state = dates.state(on)
    opened, months = bottle.opened_on, dates.months_open(on)
    name = f"batch {bottle.batch}" if bottle.batch else f"bottle {bottle.id}, no batch noted"
    if state == "empty" and bottle.empty_on is not None:
        return BottleWords(bottle, name, state, f"empty since {plain_day(bottle.empty_on)}", "This bottle is empty.")
    if opened is None:
        age = "not opened yet"
    else:
        since = "" if months is None else f", {months} month{'' if months == 1 else 's'} ago"
        age = f"opened {plain_day(opened)}{since}"
    until = dates.use_until
    if until is not None:
        age += f", {'to be used until' if until >= on else 'its time ended on'} {plain_day(until)}"
    caution = ""
    if state == "expired" and bottle.expires_on is not None:
        caution = f"This bottle expired on {plain_day(bottle.expires_on)}. {_CHECK}"
    elif state == "over age" and dates.over_age_after is not None:
        caution = (
            f"The stated {bottle.months_after_opening} months after opening ended on "
            f"{plain_day(dates.over_age_after)}. {_CHECK}"
        )
    return BottleWords(bottle, name, state, age, caution)
