"""Fills the demo studio: invented clients, and rendered photos that go through the whole way of measuring."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Engine
from sqlmodel import Session as DatabaseSession
from sqlmodel import select

from webapp.demo_people import add_details
from webapp.demo_shelf import stock
from webapp.pages.measuring import Marks, add_follow_up, keep_measurement
from webapp.photo.read import read_photo
from webapp.records.photo_files import PhotoFiles
from webapp.records.tables import Card, Client, Consent, PhotoFile, Pigment, Session, SessionPigment, Work
from webapp.records.words import PHOTO_STORAGE, STUDIO_STATISTICS
from webapp.settings import ROOT

DEMO_PHOTOS = ROOT / "demo_photos"


def fill_demo(engine: Engine, files: PhotoFiles, source: Path = DEMO_PHOTOS) -> None:
    """Fill what is still missing of the demo; a client that was begun and interrupted is begun again."""
    told = json.loads((source / "studio.json").read_text(encoding="utf-8"))
    with DatabaseSession(engine) as rows:
        known = {c.alias: c for c in rows.exec(select(Client))}
        stored = set(rows.exec(select(PhotoFile.sha256)))
        missing = [
            c
            for c in told["clients"]
            if (c["alias"] in known and known[c["alias"]].skin_notes == _BEGUN)
            or (c["alias"] not in known and not stored & _digests(c, source))
        ]
        if not missing:
            return
        cards = {c["name"]: _card(rows, c) for c in told["cards"]}
        pigments = {p["name"]: _pigment(rows, p) for p in told["pigments"]}
        for number, client in enumerate(missing, 1):
            print(f"Measuring the demo photos of {client['alias']}, client {number} of {len(missing)} …", flush=True)
            if client["alias"] in known:
                rows.delete(known[client["alias"]])
                rows.commit()
            _add_client(rows, files, client, cards, pigments, source)


_BEGUN = "(being filled)"


def _digests(client: dict[str, Any], source: Path) -> set[str]:
    """The photos of a client, by which she is known even under another alias."""
    return {
        hashlib.sha256((source / follow_up["photo"]).read_bytes()).hexdigest()
        for work in client["works"]
        for follow_up in work["follow_ups"]
    }


def _card(rows: DatabaseSession, told: dict[str, Any]) -> Card:
    card = rows.exec(select(Card).where(Card.name == told["name"])).first()
    if card is None:
        card = Card(
            name=told["name"],
            patches=told["patches"],
            values_known=True,
            note="invented",
            kind="grey card" if len(told["patches"]) == 1 else "step card",
        )
        rows.add(card)
        rows.flush()
    return card


def _pigment(rows: DatabaseSession, told: dict[str, Any]) -> Pigment:
    pigment = rows.exec(select(Pigment).where(Pigment.name == told["name"])).first()
    if pigment is None:
        pigment = Pigment(name=told["name"], family=told["family"], note="invented")
        rows.add(pigment)
        rows.flush()
        stock(rows, pigment)
    return pigment


def _add_client(
    rows: DatabaseSession,
    files: PhotoFiles,
    told: dict[str, Any],
    cards: dict[str, Card],
    pigments: dict[str, Pigment],
    source: Path,
) -> None:
    client = Client(alias=told["alias"], skin_notes=_BEGUN, created_at=datetime.now(UTC))
    rows.add(client)
    rows.flush()
    given_on = date.fromisoformat(told["consent_on"])
    for scope in (PHOTO_STORAGE, STUDIO_STATISTICS):
        rows.add(Consent(client_id=client.id or 0, scope=scope, given_on=given_on))
    for told_work in told["works"]:
        work = Work(
            client_id=client.id or 0, site=told_work["site"], note=told_work["note"], created_at=datetime.now(UTC)
        )
        rows.add(work)
        rows.flush()
        for told_session in told_work["sessions"]:
            _add_session(rows, work, told_session, pigments)
        for told_follow_up in told_work["follow_ups"]:
            _add_follow_up(rows, files, work, told_follow_up, cards[told_follow_up["card"]], source)
    add_details(rows, client, given_on)
    client.skin_notes = told["skin_notes"]
    rows.commit()


def _add_session(rows: DatabaseSession, work: Work, told: dict[str, Any], pigments: dict[str, Pigment]) -> None:
    session = Session(
        work_id=work.id or 0,
        kind=told["kind"],
        on_date=date.fromisoformat(told["on"]),
        artist=told["artist"],
        technique=told["technique"],
        note=told["notes"],
    )
    rows.add(session)
    rows.flush()
    for name in told["pigments"]:
        rows.add(SessionPigment(session_id=session.id or 0, pigment_id=pigments[name].id or 0))


def _add_follow_up(
    rows: DatabaseSession, files: PhotoFiles, work: Work, told: dict[str, Any], card: Card, source: Path
) -> None:
    content = (source / told["photo"]).read_bytes()
    follow_up = add_follow_up(rows, files, work, content, date.fromisoformat(told["on"]), card, told["notes"])
    marks = Marks(told["card_patches"], told["outline"])
    keep_measurement(rows, follow_up, marks, marks.measure(read_photo(content), card))
