"""What decides who is due, fetched in a few questions; plain rows, since there may be many thousands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from sqlmodel import Session as DatabaseSession
from sqlmodel import col, func, select

from webapp.records.tables import Bottle, Client, Consent, FollowUp, MeasurementRow, Pigment, Session, Work
from webapp.records.words import ADDS_PIGMENT, EARLIER_WORK, PHOTO_STORAGE


@dataclass(frozen=True)
class DueRow:
    """A work, whose it is, and the days that decide; `photos_allowed` by a consent in force."""

    client_id: int
    alias: str
    work_id: int
    site: str
    session_on: date | None
    healed_on: date | None
    photo_on: date | None
    photos_allowed: bool


def due_rows(rows: DatabaseSession, healing_days: int) -> list[DueRow]:
    """Give every work by alias. Healed is a measured photo at least so many days after the last session."""
    own = [kind for kind in ADDS_PIGMENT if kind != EARLIER_WORK]
    sessions = dict(
        rows.exec(
            select(Session.work_id, func.max(Session.on_date))
            .where(col(Session.kind).in_(own))
            .group_by(col(Session.work_id))
        ).all()
    )
    measured = dict(
        rows.exec(
            select(FollowUp.work_id, func.max(FollowUp.on_date)).join(MeasurementRow).group_by(col(FollowUp.work_id))
        ).all()
    )
    allowed = set(
        rows.exec(select(Consent.client_id).where(Consent.scope == PHOTO_STORAGE, col(Consent.withdrawn_on).is_(None)))
    )
    works = select(Client.id, Client.alias, Work.id, Work.site).join(Client).order_by(col(Client.alias), col(Work.id))
    found = []
    for client, alias, work, site in rows.exec(works):
        session_on, photo_on = sessions.get(work or 0), measured.get(work or 0)
        healed_on = photo_on
        if session_on is not None and photo_on is not None and photo_on < session_on + timedelta(days=healing_days):
            healed_on = None
        found.append(DueRow(client or 0, alias, work or 0, site, session_on, healed_on, photo_on, client in allowed))
    return found


@dataclass(frozen=True)
class Unfinished:
    """A follow-up whose photo is stored and not yet measured."""

    follow_up_id: int
    work_id: int
    alias: str
    site: str
    on: date


def unfinished(rows: DatabaseSession) -> list[Unfinished]:
    """Give what was left half-finished, the longest ago first."""
    wanted = (
        select(FollowUp.id, FollowUp.work_id, Client.alias, Work.site, FollowUp.on_date)  # type: ignore[call-overload] # typed for four columns
        .select_from(FollowUp)
        .join(Work)
        .join(Client)
        .outerjoin(MeasurementRow)
        .where(col(MeasurementRow.id).is_(None))
        .order_by(col(FollowUp.created_at), col(FollowUp.id))
    )
    return [Unfinished(*row) for row in rows.exec(wanted)]


def bottles_in_use(rows: DatabaseSession) -> list[tuple[Bottle, Pigment]]:
    """Give the bottles that are not empty, with their pigments."""
    wanted = select(Bottle, Pigment).join(Pigment).where(col(Bottle.empty_on).is_(None)).order_by(col(Pigment.name))
    return [(bottle, pigment) for bottle, pigment in rows.exec(wanted)]
