"""The client's sheet as data: what the printed page and the PDF are both made from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session as DatabaseSession

from webapp.drift.groups import CycleRates, Group, pool_groups
from webapp.pages.consents import ScopeStatus, statuses
from webapp.pages.constituent_words import DARKENS_UNDER_LASER, pigment_words
from webapp.pages.judged_works import fresh_cycles, number_waiting
from webapp.pages.judgement import CycleVerdict, WorkVerdict, judge_work
from webapp.pages.mix_words import mix_words
from webapp.pages.render import plain_day
from webapp.pages.sheet_words import cautions, moved, tendency
from webapp.records import queries
from webapp.records.history import constituents, mixes
from webapp.records.judged_rows import in_statistics
from webapp.records.tables import Pigment, Work
from webapp.records.words import EARLIER_WORK, REMOVAL
from webapp.settings import Settings

MOST_SESSIONS = 6
"""More do not fit on one page; the earlier ones are counted."""

CROWDED = (450, 850, 1400)
"""Signs in the left column from which on the printed letters are a step smaller; tried out on A4."""
SHORTEST_MONTHS = 2.0
"""A cycle observed for less shows the noise of its days, not a drift."""


@dataclass(frozen=True)
class SheetPhoto:
    """A healed photo on the sheet: whose picture, its words, and the measured colour of the pigmented skin."""

    follow_up_id: int
    words: str
    lab: tuple[float, ...]


@dataclass(frozen=True)
class Sheet:
    """All that stands on a client's sheet, in finished sentences; chart_of is the cycle whose chart goes with it."""

    client_id: int
    work_id: int
    alias: str
    site: str
    made_on: date
    photos: tuple[SheetPhoto, ...]
    done: tuple[str, ...]
    pigments: tuple[str, ...]
    moved: str
    chart_of: int | None
    tends: str
    tends_source: str
    cautions: tuple[str, ...]
    consents: tuple[str, ...]

    @property
    def crowding(self) -> int:
        """How much there is to say beside the chart, from 0 to 3; the printed page's letters shrink with it."""
        length = sum(len(line) for line in (*self.done, *self.pigments))
        return sum(length > limit for limit in CROWDED)


def make_sheet(rows: DatabaseSession, settings: Settings, work: Work, on: date) -> Sheet:
    """Gather a work's sheet."""
    record = queries.works(rows, [work.id or 0])[0]
    verdict = judge_work(record, settings)
    used = list({p.id or 0: p for s in record.sessions for p in s.pigments}.values())
    made_of = constituents(rows, [p.id or 0 for p in used])
    numbers = {c.colour_index for each in made_of.values() for c in each}
    judged = _shown_cycle(verdict)
    family = (judged or verdict.cycles[-1]).cycle.session.family if verdict.cycles else "unknown"
    tends, source = tendency(family, _groups(rows, settings, family))
    waiting = number_waiting(rows, settings)
    if waiting:
        source += f" {waiting} works of the studio are still being judged and not counted yet."
    return Sheet(
        client_id=record.client.id or 0,
        work_id=work.id or 0,
        alias=record.client.alias,
        site=work.site,
        made_on=on,
        photos=_photos(judged),
        done=_done(rows, verdict),
        pigments=_pigments(used, [pigment_words(p, made_of.get(p.id or 0, ())) for p in used]),
        moved=moved(judged),
        chart_of=judged.cycle.session.key if judged is not None and len(judged.series) > 1 else None,
        tends=tends,
        tends_source=source,
        cautions=cautions(bool(numbers & DARKENS_UNDER_LASER) or any(p.family != "carbon/organic" for p in used)),
        consents=tuple(_consent(s) for s in statuses(rows, record.client.id or 0)),
    )


def _shown_cycle(verdict: WorkVerdict) -> CycleVerdict | None:
    """Give the latest cycle that has a healed photo."""
    return next((c for c in reversed(verdict.cycles) if c.latest is not None), None)


def _photos(judged: CycleVerdict | None) -> tuple[SheetPhoto, ...]:
    healed = [] if judged is None else [p for p in judged.series if p.state == "healed"]
    shown = [("First healed photo", healed[0])] if healed else []
    if len(healed) > 1:
        shown.append(("Latest photo", healed[-1]))
    return tuple(
        SheetPhoto(p.reading.key, f"{words}, {plain_day(p.reading.on)}", tuple(float(v) for v in p.lab))
        for words, p in shown
    )


def _done(rows: DatabaseSession, verdict: WorkVerdict) -> tuple[str, ...]:
    mix = mixes(rows, [verdict.record.work.id or 0])
    lines = []
    for each in verdict.record.sessions:
        session = each.session
        what = mix_words(mix.get(session.id or 0, ()), session)
        told = [session.technique, f"by {session.artist}" if session.artist else "", what]
        about = "about " if session.day_is_rough else ""
        lines.append(f"{about}{plain_day(session.on_date)}: {session.kind}, {', '.join(t for t in told if t)}.")
    if len(lines) > MOST_SESSIONS:
        left = len(lines) - MOST_SESSIONS
        lines = [f"{left} earlier session{'s' if left > 1 else ''}, on record in the studio.", *lines[left:]]
    return tuple(lines) or ("No session is on record yet.",)


def _pigments(used: Sequence[Pigment], words: Sequence[str]) -> tuple[str, ...]:
    return tuple(words) if used else ("The pigment is not known.",)


def _groups(rows: DatabaseSession, settings: Settings, family: str) -> tuple[Group, ...]:
    """Pool the studio's own cycles of a family, of clients who agreed to be counted."""
    agreed = in_statistics(rows)
    counted = [
        CycleRates(
            c.client_id,
            c.work_id,
            {"family": c.family},
            {name: (12 * rate, 12 * se) for name, (rate, se) in c.rates.items()},
            c.months,
        )
        for c in fresh_cycles(rows, settings)
        if c.family == family
        and c.client_id in agreed
        and c.kind not in (REMOVAL, EARLIER_WORK)
        and c.months >= SHORTEST_MONTHS
    ]
    return pool_groups(counted, ("family",), ("fading", "own_warmth"))


def _consent(status: ScopeStatus) -> str:
    if status.in_force is None:
        return f"{status.words.agrees}: {'withdrawn' if status.history else 'not agreed'}."
    note = f" ({status.in_force.note})" if status.in_force.note else ""
    return f"{status.words.agrees}: agreed on {plain_day(status.in_force.given_on)}{note}."
