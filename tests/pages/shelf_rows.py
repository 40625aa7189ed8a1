"""Rows for pages that learn from many works: clients, sessions and measurements of known layers, put in directly."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np
from sqlmodel import Session as DatabaseSession
from sqlmodel import select

from webapp.colorimetry.encodings import Floats
from webapp.correction.layers import colour_of_layer, through
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
from webapp.records.words import STUDIO_STATISTICS

SKIN = np.array([66.0, 11.0, 17.0])
WARM = colour_of_layer(np.array([0.6, 1.1, 1.35]))
COOL = colour_of_layer(np.array([1.2, 0.95, 0.85]))
START = date(2024, 1, 10)
QUIET = (0.05**2 * np.eye(3)).tolist()


def add_pigment(rows: DatabaseSession, name: str, family: str = "inorganic") -> int:
    pigment = Pigment(name=name, family=family)
    rows.add(pigment)
    rows.flush()
    return pigment.id or 0


def add_client(rows: DatabaseSession, alias: str, agreed: bool = True, **about: str) -> int:
    client = Client(alias=alias, created_at=datetime.now(UTC), **about)
    rows.add(client)
    rows.flush()
    if agreed:
        rows.add(Consent(client_id=client.id or 0, scope=STUDIO_STATISTICS, given_on=START))
    return client.id or 0


def add_work(rows: DatabaseSession, client: int, site: str = "left brow") -> int:
    work = Work(client_id=client, site=site, created_at=datetime.now(UTC))
    rows.add(work)
    rows.flush()
    return work.id or 0


def add_session(rows: DatabaseSession, work: int, months: float, *pigments: int, kind: str = "first session") -> int:
    session = Session(work_id=work, kind=kind, on_date=_day(months), technique="powder brow")
    rows.add(session)
    rows.flush()
    for pigment in pigments:
        rows.add(SessionPigment(session_id=session.id or 0, pigment_id=pigment))
    return session.id or 0


def add_reading(
    rows: DatabaseSession, work: int, months: float, taken: Floats, grade: str = "good", skin: Floats | None = SKIN
) -> int:
    """Add a measured follow-up whose pigment takes (3,) `taken` from the light of the skin."""
    client = rows.get_one(Work, work).client_id
    number = len(rows.exec(select(PhotoFile)).all())
    photo = PhotoFile(client_id=client, sha256=f"{number:064x}", size=1, width=1, height=1, stored_at=datetime.now(UTC))
    rows.add(photo)
    rows.flush()
    card = rows.exec(select(Card)).first()
    assert card is not None
    follow_up = FollowUp(
        work_id=work, photo_id=photo.id or 0, card_id=card.id or 0, on_date=_day(months), created_at=datetime.now(UTC)
    )
    rows.add(follow_up)
    rows.flush()
    rows.add(
        MeasurementRow(
            follow_up_id=follow_up.id or 0,
            pigment_lab=through(SKIN if skin is None else skin, taken).tolist(),
            pigment_spread=QUIET,
            pigment_shared=QUIET,
            pigment_pixels=20_000,
            skin_lab=None if skin is None else skin.tolist(),
            skin_spread=None if skin is None else QUIET,
            skin_shared=None if skin is None else QUIET,
            skin_pixels=20_000,
            grade=grade,
            reasons=[],
            patches=1,
            residual=0.0,
            method="made",
            measured_at=datetime.now(UTC),
        )
    )
    rows.flush()
    return follow_up.id or 0


def _day(months: float) -> date:
    return START + timedelta(days=round(months * 30.44))
