"""Rows that belong together, fetched in a few questions."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from sqlmodel import Session as DatabaseSession
from sqlmodel import col, func, select

from webapp.records.tables import (
    Card,
    Client,
    Consent,
    FollowUp,
    MeasurementRow,
    PhotoFile,
    Pigment,
    Session,
    SessionPigment,
    Work,
)
from webapp.records.words import PHOTO_STORAGE


@dataclass
class SessionRecord:
    """A session and the pigments used in it."""

    session: Session
    pigments: list[Pigment] = field(default_factory=list)


@dataclass
class FollowUpRecord:
    """A follow-up, its photo, and its measurement where it is finished."""

    follow_up: FollowUp
    photo: PhotoFile
    measurement: MeasurementRow | None


@dataclass
class WorkRecord:
    """A work with all that happened to it, in order of time."""

    client: Client
    work: Work
    sessions: list[SessionRecord] = field(default_factory=list)
    follow_ups: list[FollowUpRecord] = field(default_factory=list)

    @property
    def unfinished(self) -> list[FollowUpRecord]:
        """Follow-ups whose photo is stored and not yet measured."""
        return [f for f in self.follow_ups if f.measurement is None]


def works(rows: DatabaseSession, work_ids: Sequence[int] | None = None) -> list[WorkRecord]:
    """Give the works with these ids, or all, each with its sessions and follow-ups."""
    wanted = select(Work, Client).join(Client).order_by(col(Client.alias), col(Work.id))
    sessions = select(Session).order_by(col(Session.on_date), col(Session.id))
    follow_ups = (
        select(FollowUp, PhotoFile, MeasurementRow)
        .join(PhotoFile)
        .outerjoin(MeasurementRow)
        .order_by(col(FollowUp.on_date), col(FollowUp.id))
    )
    used = select(SessionPigment.session_id, Pigment).join(Pigment).order_by(col(Pigment.name))
    if work_ids is not None:
        wanted = wanted.where(col(Work.id).in_(work_ids))
        sessions = sessions.where(col(Session.work_id).in_(work_ids))
        follow_ups = follow_ups.where(col(FollowUp.work_id).in_(work_ids))
        used = used.join(Session).where(col(Session.work_id).in_(work_ids))

    records = {work.id: WorkRecord(client, work) for work, client in rows.exec(wanted)}
    pigments: defaultdict[int, list[Pigment]] = defaultdict(list)
    for session_id, pigment in rows.exec(used):
        pigments[session_id].append(pigment)
    for session in rows.exec(sessions):
        records[session.work_id].sessions.append(SessionRecord(session, pigments[session.id or 0]))
    for follow_up, photo, measurement in rows.exec(follow_ups):
        records[follow_up.work_id].follow_ups.append(FollowUpRecord(follow_up, photo, measurement))
    return list(records.values())


def consent_in_force(rows: DatabaseSession, client_id: int, scope: str = PHOTO_STORAGE) -> Consent | None:
    """Give the client's consent of this scope that has not been withdrawn; None where there is none."""
    return rows.exec(
        select(Consent)
        .where(Consent.client_id == client_id, Consent.scope == scope, col(Consent.withdrawn_on).is_(None))
        .order_by(col(Consent.given_on))
    ).first()


def latest_marks(rows: DatabaseSession, work_id: int, besides: int) -> FollowUp | None:
    """Give the work's latest marked follow-up other than one, whose outline a new photo may start from."""
    candidates = rows.exec(
        select(FollowUp)
        .where(FollowUp.work_id == work_id, FollowUp.id != besides)
        .order_by(col(FollowUp.on_date).desc(), col(FollowUp.id).desc())
    )
    return next((f for f in candidates if f.outline), None)


def first_session_day(rows: DatabaseSession, work_id: int) -> date | None:
    """Give the day of the work's first session; None where none is entered."""
    wanted = select(col(Session.on_date)).where(Session.work_id == work_id).order_by(col(Session.on_date))
    return rows.exec(wanted).first()


def artists(rows: DatabaseSession) -> list[str]:
    """Give the names of all artists, in alphabetical order."""
    return [a for a in rows.exec(select(Session.artist).distinct().order_by(col(Session.artist))) if a]


def client_called(rows: DatabaseSession, alias: str) -> Client | None:
    """Give the client with this alias, capitals apart."""
    return rows.exec(select(Client).where(func.casefolded(Client.alias) == alias.casefold())).first()


def pigment_called(rows: DatabaseSession, name: str) -> Pigment | None:
    """Give the pigment with this name, capitals apart."""
    return next((p for p in rows.exec(select(Pigment)) if p.name.casefold() == name.casefold()), None)


def card_called(rows: DatabaseSession, name: str) -> Card | None:
    """Give the card with this name, capitals apart."""
    return next((c for c in rows.exec(select(Card)) if c.name.casefold() == name.casefold()), None)


def photo_in_use(rows: DatabaseSession, photo_id: int) -> bool:
    """Say whether any follow-up still shows a photo."""
    return rows.exec(select(FollowUp.id).where(FollowUp.photo_id == photo_id)).first() is not None
