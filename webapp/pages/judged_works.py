"""Verdicts that were kept, and those that are missing judged anew: what pages over many works are made from."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, fields
from datetime import date
from functools import cache
from typing import Any

from sqlalchemy import Engine
from sqlalchemy.exc import OperationalError
from sqlmodel import Session as DatabaseSession

from webapp.drift.due import Forecast
from webapp.drift.flags import Flag
from webapp.drift.trend import Rate, Trend
from webapp.pages.judgement import CycleVerdict, WorkVerdict, judge_work
from webapp.records import judged_rows, queries
from webapp.records.database import is_writing
from webapp.records.judged import RATES
from webapp.records.judged_rows import CycleRow, WorkLine, WorkRow
from webapp.settings import ROOT, Settings

ON_A_PAGE = 20
"""Works that one page judges at most, about 50 ms; a page that rests on more shows what is there, and says so."""
_FAILURES = 5
"""So often in a row nothing could be kept, and judging ahead rests: the disk may be full."""


@dataclass(frozen=True)
class Present:
    """The present cycle of a work, in a line's few words."""

    kind: str
    on: date
    family: str
    forecast: Forecast | None = None
    """Of a colour boost by the work's own photos; None where there is no trend yet."""


@dataclass(frozen=True)
class Judged:
    """A work as a list shows it: the line, the flag, the present cycle where there is one."""

    line: WorkLine
    flag: Flag
    present: Present | None


def fresh(rows: DatabaseSession, settings: Settings, client_id: int | None = None) -> list[Judged]:
    """Give the verdicts on a client's works, or on all, by alias; what is missing is judged and kept."""
    lines = judged_rows.work_lines(rows, client_id)
    ids = None if client_id is None else [line.work_id for line in lines]
    kept = judged_rows.verdicts(rows, stamp(settings), ids)
    judged, _ = _judge(rows, settings, judged_rows.not_judged(rows, stamp(settings), ids))
    kept |= {w.work_id: (w.flag, w.present) for w in judged}
    found = ((line, kept[line.work_id]) for line in lines if line.work_id in kept)
    return [Judged(line, _flag(flag), _present(present)) for line, (flag, present) in found]


def first_flags(rows: DatabaseSession, settings: Settings, kinds: Sequence[str], at_most: int) -> list[Judged]:
    """Give the works with these flags that need a look first, as far as they are judged."""
    found = judged_rows.first_verdicts(rows, stamp(settings), kinds, at_most)
    lines = {line.work_id: line for line in judged_rows.work_lines(rows, work_ids=[work for work, _, _ in found])}
    return [Judged(lines[work], _flag(flag), _present(present)) for work, flag, present in found if work in lines]


def number_flagged(rows: DatabaseSession, settings: Settings) -> dict[str, int]:
    """Give how many works carry each flag, as far as they are judged."""
    return judged_rows.flag_counts(rows, stamp(settings))


def forecasts(rows: DatabaseSession, settings: Settings) -> dict[int, Forecast]:
    """Give when a colour boost is foreseen, by work, as far as they are judged."""
    found = ((work, _forecast(told)) for work, told in judged_rows.forecasts(rows, stamp(settings)))
    return {work: forecast for work, forecast in found if forecast is not None}


def number_waiting(rows: DatabaseSession, settings: Settings) -> int:
    """Give how many works will be without a verdict yet once a page has judged its share."""
    return max(judged_rows.number_not_judged(rows, stamp(settings)) - ON_A_PAGE, 0)


def judge_some(rows: DatabaseSession, settings: Settings, at_most: int = ON_A_PAGE) -> int:
    """Judge up to so many of the works that have no verdict; give how many are still without.

    What is read from the rows afterwards is as of now, so that what was just kept is seen.
    """
    missing = judged_rows.not_judged(rows, stamp(settings))
    kept = _judge(rows, settings, missing[:at_most])[1] if missing else False
    if kept:
        rows.rollback()
    return len(missing) - (min(at_most, len(missing)) if kept else 0)


def judge_ahead(engine: Engine, settings: Callable[[], Settings]) -> None:
    """Judge whatever has no verdict under the settings of the moment, a few at a time: run beside the pages."""
    failures, before = 0, -1
    with contextlib.suppress(OperationalError):  # a busy or full disk: the pages judge what they need themselves
        while before != 0 and failures < _FAILURES:
            with DatabaseSession(engine) as rows:
                left = judge_some(rows, settings())
            failures, before = (failures + 1 if left == before else 0), left


def fresh_cycles(rows: DatabaseSession, settings: Settings) -> list[CycleRow]:
    """Give every cycle with a trend, as far as judged; of what is missing a page's share is judged first and kept.

    After a change to one client that is all of it. `number_waiting` tells how many works are not among them yet.
    """
    kept = judged_rows.cycles(rows, stamp(settings))
    # From the end: who judges beside the pages begins at the other.
    judged, _ = _judge(rows, settings, judged_rows.not_judged(rows, stamp(settings))[-ON_A_PAGE:])
    return kept + [cycle for work in judged for cycle in work.cycles]


def _judge(rows: DatabaseSession, settings: Settings, work_ids: Sequence[int]) -> tuple[list[WorkRow], bool]:
    """Judge works and keep the verdicts; give them, and whether they were kept.

    They are judged from one reading of the database and kept only where nothing was written since, which SQLite sees
    to: it refuses at once to let an old reading write. So no change can slip between, and nobody waits for a lock. A
    page that is itself amid writing judges from what it sees and keeps nothing.
    """
    engine = rows.get_bind()
    if not work_ids:
        return [], True
    if not isinstance(engine, Engine) or is_writing(engine):
        return [_row(judge_work(record, settings)) for record in queries.works(rows, work_ids)], False
    with DatabaseSession(engine) as own:
        judged = [_row(judge_work(record, settings)) for record in queries.works(own, work_ids)]
        try:
            judged_rows.keep(own, stamp(settings), judged)
            own.commit()
        except OperationalError:
            own.rollback()  # changed meanwhile, or the disk is full: that costs time on the next page, no answer here
            return judged, False
    return judged, True


def stamp(settings: Settings) -> str:
    """Name the way of judging: the source of every step and the settings. Other verdicts are judged again."""
    told = f"{settings.healing_days} {settings.thresholds} {_source()}"
    return hashlib.sha256(told.encode()).hexdigest()[:16]


@cache
def _source() -> str:
    rooms = [path for room in ("colorimetry", "drift") for path in (ROOT / "webapp" / room).glob("*.py")]
    joins = [ROOT / "webapp" / "pages" / name for name in ("judgement.py", "judged_works.py")]
    digest = hashlib.sha256()
    for path in sorted(rooms) + joins:
        digest.update(path.read_bytes())
    return digest.hexdigest()


def _row(verdict: WorkVerdict) -> WorkRow:
    cycles = verdict.cycles
    present: dict[str, Any] = {}
    if cycles:
        session = cycles[-1].cycle.session
        present = {"kind": session.kind, "on": session.on.isoformat(), "family": session.family}
        if cycles[-1].trend is not None:
            due = cycles[-1].assessment.due
            days = (None, None, None) if due is None else (due.on, due.earliest, due.latest)
            present["forecast"] = [None if day is None else day.isoformat() for day in days]
    return WorkRow(
        verdict.record.work.id or 0,
        asdict(verdict.flag),
        present,
        tuple(_cycle(verdict, c, c.trend) for c in cycles if c.trend is not None),
    )


def _cycle(verdict: WorkVerdict, judged: CycleVerdict, trend: Trend) -> CycleRow:
    record, session = verdict.record, judged.cycle.session
    so_far = [s for s in record.sessions if (s.session.on_date, s.session.id or 0) <= (session.on, session.key)]
    own = next(s.session for s in so_far if s.session.id == session.key)
    baseline = judged.cycle.baseline
    skin = None if baseline is None or baseline.skin is None else baseline.skin.lab
    return CycleRow(
        client_id=record.client.id or 0,
        site=record.work.site,
        work_id=record.work.id or 0,
        session_id=session.key,
        kind=session.kind,
        on_date=session.on,
        technique=session.technique,
        artist=session.artist,
        hand=own.hand,
        family=session.family,
        pigments=" + ".join(sorted({p.name for s in so_far for p in s.pigments})),
        photos=trend.photos,
        months=trend.months,
        skin=None if skin is None else (float(skin[0]), float(skin[1]), float(skin[2])),
        rates={name: (rate.per_month, rate.se) for name in RATES if (rate := _rate(trend, name)) is not None},
    )


def _rate(trend: Trend, name: str) -> Rate | None:
    """Give one of a trend's own rates, not pooled with other works: pooling them once more would be circular."""
    if name == "fading":
        return None if trend.fading is None else trend.fading.rate
    rate: Rate | None = getattr(trend, name, None)
    return rate


def _flag(told: dict[str, Any]) -> Flag:
    # JSON knows no tuples.
    known: dict[str, Any] = {f.name: told[f.name] for f in fields(Flag)}
    return Flag(**known | {"passed": tuple(told["passed"])})


def _present(told: dict[str, Any]) -> Present | None:
    if not told:
        return None
    return Present(told["kind"], date.fromisoformat(told["on"]), told["family"], _forecast(told.get("forecast")))


def _forecast(told: Sequence[str | None] | None) -> Forecast | None:
    return None if told is None else Forecast(*(None if day is None else date.fromisoformat(day) for day in told))
