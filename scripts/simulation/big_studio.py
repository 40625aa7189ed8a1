"""Fills a database with a large invented studio: rows only, no images. For speed, and for figures with a known truth.

Every client has a skin, a hand and an artist; every work a pigment of some family that fades and turns at a rate of its
own about its family's. What a photo reads is the true colour under a lamp of the day (a gain a channel, which skin and
pigment share), with the noise that drift/noise.py expects of an anchored photo.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import count
from typing import Any

import numpy as np
from sqlalchemy import Engine, insert
from sqlmodel import SQLModel

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.colorimetry.warmth import WARM_DIRECTION
from webapp.drift.noise import ANCHORED_CAMERA_SD
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
from webapp.records.words import PHOTO_STORAGE, STUDIO_STATISTICS


@dataclass(frozen=True)
class Family:
    """True means per year, of the invented studio: warmth beyond fading, and share of density lost (a decay rate)."""

    name: str
    colour: tuple[float, float, float]
    own_warmth: float
    fading: float


FAMILIES = (
    Family("carbon/organic", (40.0, 4.0, 6.0), -1.2, 0.20),
    Family("hybrid", (42.0, 7.0, 11.0), 0.2, 0.35),
    Family("inorganic", (45.0, 11.0, 15.0), 1.4, 0.55),
)
CLIENTS_DIFFER = {"own_warmth": 0.8, "fading": 0.08}
"""Standard deviation between clients, per year."""
WORKS_DIFFER = {"own_warmth": 0.3, "fading": 0.03}
"""Standard deviation between the works of one client, per year."""
SKINS = ((70.0, 10.0, 15.0), (64.0, 11.0, 18.0), (56.0, 12.0, 19.0), (46.0, 12.0, 17.0), (37.0, 10.0, 13.0))
TECHNIQUES = ("powder brow", "ombré brow", "microblading")
ARTISTS = ("Artist Ines (invented)", "Artist Tamsin (invented)", "Artist Oda (invented)")
HANDS = ("light", "medium", "heavy")
_NOW = datetime(2026, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class BigStudio:
    """How large: clients, photos in all, the share of clients who agreed to statistics, and the seed."""

    clients: int = 2000
    photos: int = 25_000
    agreed: float = 0.9
    seed: int = 1


def fill_studio(engine: Engine, wanted: BigStudio = BigStudio()) -> None:
    """Fill an empty studio in one transaction."""
    rows = _Rows(np.random.default_rng(wanted.seed))
    works: list[tuple[int, date, Any]] = []
    for number in range(1, wanted.clients + 1):
        works += rows.add_client(number, agreed=rows.rng.uniform() < wanted.agreed)
    shares = rows.rng.multinomial(wanted.photos - 3 * len(works), np.full(len(works), 1 / len(works)))
    for (work, start, truth), more in zip(works, shares, strict=True):
        rows.add_photos(work, start, truth, 3 + int(more))
    with engine.begin() as connection:
        for table, values in rows.tables():
            connection.execute(insert(table), values)


@dataclass(frozen=True)
class _Truth:
    client: int
    skin: Floats
    colour: Floats
    own_warmth: float
    fading: float

    def colour_after(self, months: float) -> Floats:
        bare = lab_to_linear(self.skin)
        left = np.exp(-self.fading * months / 12)
        faded = linear_to_lab(bare * (lab_to_linear(self.colour) / bare) ** left)
        faded[1:] += WARM_DIRECTION * self.own_warmth * months / 12
        return np.asarray(faded)


class _Rows:
    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self._values: dict[type[SQLModel], list[dict[str, Any]]] = {}
        self._numbers = {table: count(1) for table in (Work, Session, FollowUp)}
        self._add(Card, id=1000, name="invented card", patches=[[49.5, 0, 0]], values_known=True)
        for i, family in enumerate(FAMILIES, 1):
            self._add(Pigment, id=i, name=f"Pigment {i} (invented)", family=family.name, note="invented", sites=[])

    def tables(self) -> Iterator[tuple[type[SQLModel], list[dict[str, Any]]]]:
        order = (Card, Client, Consent, Pigment, Work, Session, SessionPigment, PhotoFile, FollowUp, MeasurementRow)
        for table in order:
            if self._values.get(table):
                yield table, self._values[table]

    def add_client(self, number: int, agreed: bool) -> list[tuple[int, date, _Truth]]:
        rng = self.rng
        self._add(Client, id=number, alias=f"Client {number:05d} (invented)", created_at=_NOW)
        for scope in (PHOTO_STORAGE, STUDIO_STATISTICS)[: 1 + agreed]:
            self._add(Consent, client_id=number, scope=scope, given_on=date(2022, 1, 1))
        skin = np.array(SKINS[rng.integers(len(SKINS))]) + rng.normal(0, 1.5, 3)
        which = int(rng.integers(len(FAMILIES)))
        artist, technique = ARTISTS[rng.integers(3)], TECHNIQUES[rng.integers(3)]
        hand = HANDS[rng.integers(3)]
        own = {name: rng.normal(0, sd) for name, sd in CLIENTS_DIFFER.items()}
        start = date(2022, 2, 1) + timedelta(days=int(rng.integers(700)))
        works = []
        for site in ("left brow", "right brow")[: 1 if rng.uniform() < 0.3 else 2]:
            work, session = next(self._numbers[Work]), next(self._numbers[Session])
            self._add(Work, id=work, client_id=number, site=site, created_at=_NOW)
            self._add(
                Session,
                id=session,
                work_id=work,
                kind="first session",
                on_date=start,
                artist=artist,
                technique=technique,
                hand=hand,
            )
            self._add(SessionPigment, session_id=session, pigment_id=which + 1)
            family = FAMILIES[which]
            truth = _Truth(
                number,
                skin,
                # The same filter over another skin: pigment in skin works in proportion to what is under it.
                linear_to_lab(lab_to_linear(np.array(family.colour)) * lab_to_linear(skin) / lab_to_linear(_FAIR)),
                family.own_warmth + own["own_warmth"] + rng.normal(0, WORKS_DIFFER["own_warmth"]),
                max(family.fading + own["fading"] + rng.normal(0, WORKS_DIFFER["fading"]), 0.02),
            )
            works.append((work, start, truth))
        return works

    def add_photos(self, work: int, start: date, truth: _Truth, photos: int) -> None:
        rng = self.rng
        months = np.sort(rng.uniform(1.2, 22, photos))
        for month in months:
            number = next(self._numbers[FollowUp])
            lamp = np.exp(rng.normal(0, 0.02, 3))
            skin = linear_to_lab(lab_to_linear(truth.skin) * lamp)
            pigment = linear_to_lab(lab_to_linear(truth.colour_after(month)) * lamp)
            pigment = pigment + rng.normal(0, ANCHORED_CAMERA_SD / np.sqrt(2))
            self._add(
                PhotoFile,
                id=number,
                client_id=truth.client,
                sha256=hashlib.sha256(str(number).encode()).hexdigest(),
                size=1,
                width=1,
                height=1,
                stored_at=_NOW,
            )
            self._add(
                FollowUp,
                id=number,
                work_id=work,
                photo_id=number,
                card_id=1000,
                on_date=start + timedelta(days=round(month * 30.44)),
                card_patches=[],
                outline=[],
                created_at=_NOW,
            )
            self._add(
                MeasurementRow,
                follow_up_id=number,
                pigment_lab=_rounded(pigment),
                pigment_spread=_OWN,
                pigment_shared=_SHARED,
                pigment_pixels=20_000,
                skin_lab=_rounded(skin),
                skin_spread=_OWN,
                skin_shared=_SHARED,
                skin_pixels=40_000,
                grade="good",
                reasons=[],
                patches=1,
                residual=0.0,
                method="invented",
                measured_at=_NOW,
            )

    def _add(self, table: type[SQLModel], **values: Any) -> None:
        self._values.setdefault(table, []).append(values)


_FAIR = np.array([66.0, 11.0, 17.0])
_OWN = [[0.01, 0.0, 0.0], [0.0, 0.01, 0.0], [0.0, 0.0, 0.01]]
_SHARED = [[0.64, 0.0, 0.0], [0.0, 0.64, 0.0], [0.0, 0.0, 0.64]]


def _rounded(lab: Floats) -> list[float]:
    return [round(float(v), 4) for v in lab]
