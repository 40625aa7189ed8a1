"""Withdrawal of a consent: what it covers, and the end of all of that."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlmodel import Session as DatabaseSession
from sqlmodel import col, delete, func, select, update

from webapp.records.photo_files import PhotoFiles
from webapp.records.tables import Consent, FollowUp, MeasurementRow, PhotoFile, PhotoImportItem, Session, Work
from webapp.records.words import PHOTO_STORAGE

_FROM_PHOTOS = ("photo", "baseline")
"""Where the aim of a work comes from when it was measured on the client's own photo."""


@dataclass(frozen=True)
class Covered:
    """What hangs on a client's photos: how many photos, follow-ups, aims picked from them, works measured."""

    photos: int
    follow_ups: int
    aims: int
    measured_works: int


def covered(rows: DatabaseSession, client_id: int) -> Covered:
    """Count what hangs on a client's photos."""
    photos = select(func.count()).select_from(PhotoFile).where(PhotoFile.client_id == client_id)
    follow_ups = select(func.count()).select_from(FollowUp).join(Work).where(Work.client_id == client_id)
    aims = (
        select(func.count())
        .select_from(Work)
        .where(Work.client_id == client_id, col(Work.aim_from).in_(_FROM_PHOTOS), col(Work.aim_lab).is_not(None))
    )
    measured = (
        select(func.count(col(Work.id).distinct()))
        .select_from(Work)
        .join(FollowUp)
        .join(MeasurementRow)
        .where(Work.client_id == client_id)
    )
    return Covered(*(rows.exec(count).one() for count in (photos, follow_ups, aims, measured)))


def withdraw_consent(rows: DatabaseSession, files: PhotoFiles, client_id: int, scope: str, on: date) -> None:
    """End a client's consent of one scope and commit; with photo storage go the photos and all made of them.

    A colour that was picked from one of the photos as the aim of a work was measured on it, and goes too.
    Raises OSError where a file cannot be deleted: nothing is then committed, and it can be asked for again.
    """
    digests: list[str] = []
    if scope == PHOTO_STORAGE:
        digests = _delete_photo_rows(rows, client_id)
    in_force = select(Consent).where(
        Consent.client_id == client_id, Consent.scope == scope, col(Consent.withdrawn_on).is_(None)
    )
    for consent in rows.exec(in_force):
        consent.withdrawn_on = on
    rows.flush()
    # Files first: where this is interrupted, the rows are still there to ask again, and no face stays unseen.
    for digest in digests:
        files.discard(digest)
    rows.commit()


def _delete_photo_rows(rows: DatabaseSession, client_id: int) -> list[str]:
    stored = rows.exec(select(PhotoFile).where(PhotoFile.client_id == client_id)).all()
    digests = [photo.sha256 for photo in stored]
    works = select(Work.id).where(Work.client_id == client_id)
    rows.exec(
        update(Session)
        .where(col(Session.work_id).in_(works), col(Session.baseline_follow_up_id).is_not(None))
        .values(baseline_follow_up_id=None, baseline_because="")
    )
    rows.exec(
        update(Work)
        .where(col(Work.client_id) == client_id, col(Work.aim_from).in_(_FROM_PHOTOS))
        .values(aim_lab=None, aim_from="")
    )
    rows.exec(delete(PhotoImportItem).where(col(PhotoImportItem.client_id) == client_id))
    for photo in stored:
        rows.delete(photo)
    rows.flush()
    return digests
