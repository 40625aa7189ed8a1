"""Puts the application together; no logic."""

from __future__ import annotations

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles
from sqlmodel import Session as DatabaseSession
from sqlmodel import select

from webapp.pages import (
    about,
    aims,
    baselines,
    bottles,
    bringing_in,
    card_marking,
    card_photos,
    card_print,
    cards,
    choosing,
    client_list,
    client_sheet,
    clients,
    consents,
    correction,
    due,
    families,
    follow_ups,
    import_folder,
    import_photos,
    import_rows,
    marking,
    merging,
    new_photo,
    new_work,
    pictures,
    pigments,
    questionings,
    sessions,
    shelf,
    skin,
    sorry,
    start,
    swatches,
    taking_out,
    thresholds,
    timeline,
    works,
)
from webapp.pages.guard import Guard
from webapp.pages.judging_ahead import JudgingAhead
from webapp.photo.card import GREY_CARD
from webapp.records.database import open_database
from webapp.records.photo_files import PhotoFiles
from webapp.records.tables import Card, PhotoFile
from webapp.settings import HOST, ROOT, Settings

ROUTERS = (
    start,
    due,
    client_list,
    clients,
    consents,
    merging,
    timeline,
    skin,
    questionings,
    new_work,
    choosing,
    correction,
    works,
    aims,
    client_sheet,
    sessions,
    follow_ups,
    new_photo,
    marking,
    pictures,
    families,
    baselines,
    thresholds,
    shelf,
    pigments,
    bottles,
    swatches,
    cards,
    card_print,
    card_photos,
    card_marking,
    taking_out,
    bringing_in,
    import_folder,
    import_rows,
    import_photos,
    about,
)


def make_app(settings: Settings) -> FastAPI:
    """Give the application on one studio's folder, which is made and migrated where needed."""
    app = FastAPI(title="Healed Colour Almanac", openapi_url=None, docs_url=None, redoc_url=None)
    app.state.settings = settings
    app.state.photo_files = PhotoFiles(settings.photos, settings.derived)
    app.state.engine = open_database(settings.database, settings.kind)
    with DatabaseSession(app.state.engine) as rows:
        app.state.settings = thresholds.with_stored(settings, rows)
        app.state.photo_files.sweep(set(rows.exec(select(PhotoFile.sha256))))
        if rows.exec(select(Card)).first() is None:
            rows.add(Card(name="18 % grey card", patches=[list(GREY_CARD)], kind="grey card"))
            rows.commit()
    app.state.judging = JudgingAhead(app.state.engine, lambda: app.state.settings)
    app.mount("/static", StaticFiles(directory=ROOT / "static"), name="static")
    for room in ROUTERS:
        app.include_router(room.router)
    hosts = frozenset(f"{name}:{settings.port}" for name in (HOST, "localhost"))
    app.add_middleware(Guard, hosts=hosts, max_bytes=settings.max_upload_bytes)
    for error, answer in sorry.ANSWERS.items():
        app.add_exception_handler(error, answer)
    return app
