"""What is due in the studio today: rows in, a list for each kind of visit out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session as DatabaseSession
from sqlmodel import select

from webapp.drift.due import BOUNDS, WHATS, Due, Forecast, Intervals, What, WorkDates, due_of
from webapp.pages.bottle_words import BottleWords, bottle_words
from webapp.pages.judged_works import forecasts
from webapp.records.due_rows import DueRow, bottles_in_use, due_rows
from webapp.records.tables import Pigment, StudioSetting
from webapp.settings import Settings


@dataclass(frozen=True)
class DueWork:
    """One work that is due, and for what."""

    row: DueRow
    due: Due


@dataclass(frozen=True)
class DueBottle:
    """A bottle whose time is over, or soon will be."""

    pigment: Pigment
    words: BottleWords


def intervals_of(rows: DatabaseSession) -> Intervals:
    """Give the studio's intervals."""
    names = [setting_name(name) for name in BOUNDS]
    stored = {s.name: s.value for s in rows.exec(select(StudioSetting)) if s.name in names}
    return Intervals().with_own({name: stored.get(setting_name(name)) for name in BOUNDS})


def setting_name(interval: str) -> str:
    """Give the name under which an interval is stored."""
    return f"due_{interval}"


def due_works(
    rows: DatabaseSession, settings: Settings, intervals: Intervals, today: date
) -> dict[What, list[DueWork]]:
    """Give the works that are due, by kind of visit, the longest due first.

    A photo is asked for only where the client's consent lets it be kept.
    """
    foreseen = forecasts(rows, settings)
    found: dict[What, list[DueWork]] = {what: [] for what in WHATS}
    for row in due_rows(rows, settings.healing_days):
        for due in due_of(_dates(row, foreseen.get(row.work_id)), intervals, today):
            if due.what != "photo" or row.photos_allowed:
                found[due.what].append(DueWork(row, due))
    for works in found.values():
        works.sort(key=lambda w: w.due.on)
    return found


def _dates(row: DueRow, forecast: Forecast | None) -> WorkDates:
    return WorkDates(row.session_on, row.healed_on, row.photo_on, forecast)


def due_bottles(rows: DatabaseSession, today: date) -> Sequence[DueBottle]:
    """Give the bottles in use whose time is over or soon will be."""
    told = ((pigment, bottle_words(bottle, today)) for bottle, pigment in bottles_in_use(rows))
    return [DueBottle(pigment, words) for pigment, words in told if words.state in ("soon over", "over age", "expired")]
