"""What was judged, fetched and kept in a few questions; plain rows, since there may be many thousands."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import case, delete, or_
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, func, select

from webapp.records.judged import RATES, JudgedCycle, JudgedWork
from webapp.records.tables import Client, Consent, FollowUp, MeasurementRow, Work
from webapp.records.words import STUDIO_STATISTICS


@dataclass(frozen=True)
class CycleRow:
    """One judged cycle: what it is of, the skin's (L*, a*, b*), and (rate, standard error) per month by quantity."""

    client_id: int
    site: str
    work_id: int
    session_id: int
    kind: str
    on_date: date
    technique: str
    artist: str
    hand: str
    family: str
    pigments: str
    photos: int
    months: float
    skin: tuple[float, float, float] | None
    rates: dict[str, tuple[float, float]]


@dataclass(frozen=True)
class WorkRow:
    """One judged work: the fields of its flag and of its present cycle, and its cycles with a trend."""

    work_id: int
    flag: dict[str, Any]
    present: dict[str, Any]
    cycles: tuple[CycleRow, ...]


@dataclass(frozen=True)
class WorkLine:
    """What a list of works shows beside the verdict: whose, where, the latest measured photo, photos left unmarked."""

    client_id: int
    alias: str
    work_id: int
    site: str
    latest_measured: int | None
    unfinished: tuple[tuple[int, date], ...]


_PLAIN = (
    *("work_id", "session_id", "kind", "on_date", "technique", "artist", "hand", "family", "pigments"),
    *("photos", "months"),
)
_NAMES = ("client_id", "site", *_PLAIN)
_SKIN = ("skin_l", "skin_a", "skin_b")


def verdicts(
    rows: DatabaseSession, stamp: str, work_ids: Sequence[int] | None = None
) -> dict[int, tuple[dict[str, Any], dict[str, Any]]]:
    """Give flag and present cycle of the works judged under a stamp, by work: of these works, or of all."""
    wanted = select(JudgedWork.work_id, JudgedWork.flag, JudgedWork.present).where(JudgedWork.stamp == stamp)
    if work_ids is not None:
        wanted = wanted.where(col(JudgedWork.work_id).in_(work_ids))
    return {work: (dict(flag), dict(present)) for work, flag, present in rows.exec(wanted)}


def first_verdicts(
    rows: DatabaseSession, stamp: str, kinds: Sequence[str], at_most: int
) -> list[tuple[int, dict[str, Any], dict[str, Any]]]:
    """Give work, flag and present cycle of those flagged so, in the order of `kinds`, the gravest of a kind first."""
    kind = func.json_extract(JudgedWork.flag, "$.kind")
    order = case({k: i for i, k in enumerate(kinds)}, value=kind)
    wanted = (
        select(JudgedWork.work_id, JudgedWork.flag, JudgedWork.present)
        .where(JudgedWork.stamp == stamp, kind.in_(kinds))
        .order_by(order, func.json_extract(JudgedWork.flag, "$.severity").desc(), col(JudgedWork.work_id))
        .limit(at_most)
    )
    return [(work, dict(flag), dict(present)) for work, flag, present in rows.exec(wanted)]


def flag_counts(rows: DatabaseSession, stamp: str) -> dict[str, int]:
    """Give how many works carry each flag, as far as they are judged."""
    kind = func.json_extract(JudgedWork.flag, "$.kind")
    return dict(rows.exec(select(kind, func.count()).where(JudgedWork.stamp == stamp).group_by(kind)).all())


def forecasts(rows: DatabaseSession, stamp: str) -> list[tuple[int, list[str | None]]]:
    """Give work and forecast, [day, earliest, latest], of the works whose photos allow one."""
    told = func.json_extract(JudgedWork.present, "$.forecast")
    wanted = select(JudgedWork.work_id, told).where(JudgedWork.stamp == stamp, told.is_not(None))
    return [(work, json.loads(days)) for work, days in rows.exec(wanted)]


def not_judged(rows: DatabaseSession, stamp: str, work_ids: Sequence[int] | None = None) -> list[int]:
    """Give the works, of these or of all, that are not judged under a stamp."""
    wanted = (
        select(Work.id)
        .join(JudgedWork, isouter=True)
        .where(or_(col(JudgedWork.stamp).is_(None), col(JudgedWork.stamp) != stamp))
        .order_by(col(Work.id))
    )
    if work_ids is not None:
        wanted = wanted.where(col(Work.id).in_(work_ids))
    return [work for work in rows.exec(wanted) if work is not None]


def number_not_judged(rows: DatabaseSession, stamp: str) -> int:
    """Give how many works are not judged under a stamp."""
    judged = select(func.count()).select_from(JudgedWork).where(JudgedWork.stamp == stamp)
    return rows.exec(select(func.count()).select_from(Work)).one() - rows.exec(judged).one()


def cycles(rows: DatabaseSession, stamp: str) -> list[CycleRow]:
    """Give the cycles with a trend of all works judged under a stamp."""
    rates = [name for rate in RATES for name in (rate, f"{rate}_se")]
    columns = [getattr(JudgedCycle, name) for name in (*_PLAIN, *_SKIN, *rates)]
    wanted = (
        select(Work.client_id, Work.site, *columns)
        .select_from(JudgedCycle)
        .join(JudgedWork)
        .join(Work)
        .where(JudgedWork.stamp == stamp)
    )
    found: Iterable[Any] = rows.exec(wanted)
    first, then = 2 + len(_PLAIN), 2 + len(_PLAIN) + len(_SKIN)
    return [
        CycleRow(**dict(zip(_NAMES, row[:first], strict=True)), skin=_skin(row[first:then]), rates=_rates(row[then:]))
        for row in found
    ]


def _skin(lab: Sequence[float | None]) -> tuple[float, float, float] | None:
    L, a, b = lab
    return None if L is None or a is None or b is None else (L, a, b)


def _rates(values: Sequence[float | None]) -> dict[str, tuple[float, float]]:
    found = zip(RATES, values[::2], values[1::2], strict=True)
    return {rate: (value, se) for rate, value, se in found if value is not None and se is not None}


def keep(rows: DatabaseSession, stamp: str, judged: Iterable[WorkRow]) -> None:
    """Put judged works in the place of what was kept of them. Does not commit."""
    for work in judged:
        rows.execute(delete(JudgedWork).where(col(JudgedWork.work_id) == work.work_id))
        rows.add(JudgedWork(work_id=work.work_id, stamp=stamp, flag=work.flag, present=work.present))
        rows.flush()
        rows.add_all(_kept(cycle) for cycle in work.cycles)
    rows.flush()


def _kept(cycle: CycleRow) -> JudgedCycle:
    values: dict[str, Any] = {name: getattr(cycle, name) for name in _PLAIN}
    values |= dict(zip(_SKIN, cycle.skin or (None,) * 3, strict=True))
    for rate, (value, se) in cycle.rates.items():
        values |= {rate: value, f"{rate}_se": se}
    return JudgedCycle(**values)


def work_lines(
    rows: DatabaseSession, client_id: int | None = None, work_ids: Sequence[int] | None = None
) -> list[WorkLine]:
    """Give what lists show of the works of a client, of these works, or of all, by alias."""
    works = select(Client.id, Client.alias, Work.id, Work.site).join(Client).order_by(col(Client.alias), col(Work.id))
    days = select(FollowUp.work_id, FollowUp.id, FollowUp.on_date, MeasurementRow.id)  # type: ignore[call-overload] # typed for four columns
    days = days.join(MeasurementRow, isouter=True).order_by(col(FollowUp.on_date), col(FollowUp.id))
    if client_id is not None:
        works = works.where(Work.client_id == client_id)
        days = days.join(Work, col(Work.id) == FollowUp.work_id).where(Work.client_id == client_id)
    if work_ids is not None:
        works = works.where(col(Work.id).in_(work_ids))
        days = days.where(col(FollowUp.work_id).in_(work_ids))
    latest: dict[int, int] = {}
    unfinished: dict[int, list[tuple[int, date]]] = {}
    for work, follow_up, on, measurement in rows.exec(days):
        if measurement is None:
            unfinished.setdefault(work, []).append((follow_up or 0, on))
        else:
            latest[work] = follow_up or 0
    return [
        WorkLine(client or 0, alias, work or 0, site, latest.get(work or 0), tuple(unfinished.get(work or 0, ())))
        for client, alias, work, site in rows.exec(works)
    ]


def in_statistics(rows: DatabaseSession) -> set[int]:
    """Give the clients whose consent to the studio's statistics is in force."""
    wanted = select(Consent.client_id).where(Consent.scope == STUDIO_STATISTICS, col(Consent.withdrawn_on).is_(None))
    return set(rows.exec(wanted))
