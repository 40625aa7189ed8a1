"""Puts the application together; no logic."""

from __future__ import annotations

from fastapi import FastAPI, Request
from fastapi.responses import Response
from fastapi.staticfiles import StaticFiles
from sqlalchemy.exc import OperationalError
from sqlmodel import Session as DatabaseSession
from sqlmodel import select
from starlette.exceptions import HTTPException

from webapp.pages import about, clients, families, follow_ups, pictures, sessions, shelf, start, works
from webapp.pages.guard import Guard
from webapp.pages.render import page
from webapp.photo.card import GREY_CARD
from webapp.records.database import open_database
from webapp.records.photo_files import PhotoFiles
from webapp.records.tables import Card, PhotoFile
from webapp.settings import HOST, ROOT, Settings

ROUTERS = (start, clients, works, sessions, follow_ups, pictures, families, shelf, about)
_WENT_WRONG = {
    404: "There is no such page. It may have been deleted; start again from the list of clients.",
    410: "The photo's file is missing from the data folder or damaged. Restore the folder from a copy, or delete "
    "the follow-up and add its photo again.",
    405: "That cannot be done this way. Go back and use the page's own buttons.",
}


def make_app(settings: Settings) -> FastAPI:
    """Give the application on one studio's folder, which is made and migrated where needed."""
    app = FastAPI(title="Healed Colour Almanac", openapi_url=None, docs_url=None, redoc_url=None)
    app.state.settings = settings
    app.state.photo_files = PhotoFiles(settings.photos, settings.derived)
    app.state.engine = open_database(settings.database, settings.kind)
    with DatabaseSession(app.state.engine) as rows:
        app.state.photo_files.sweep(set(rows.exec(select(PhotoFile.sha256))))
        if rows.exec(select(Card)).first() is None:
            rows.add(Card(name="18 % grey card", patches=[list(GREY_CARD)]))
            rows.commit()
    app.mount("/static", StaticFiles(directory=ROOT / "static"), name="static")
    for room in ROUTERS:
        app.include_router(room.router)
    hosts = frozenset(f"{name}:{settings.port}" for name in (HOST, "localhost"))
    app.add_middleware(Guard, hosts=hosts, max_bytes=settings.max_upload_bytes)
    app.add_exception_handler(HTTPException, _show_http_error)
    app.add_exception_handler(OperationalError, _show_database_error)
    return app


async def _show_http_error(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    sentence = _WENT_WRONG.get(status, "That did not work. Go back and try again; nothing was changed.")
    return page(request, "sorry.html", status, sentence=sentence)


async def _show_database_error(request: Request, error: Exception) -> Response:
    sentence = (
        "The studio's records could not be read or written: the disk may be full, or the data folder not writable. "
        "What you just sent was not stored. Free some space, go back and send it again."
    )
    return page(request, "sorry.html", 507, sentence=sentence)
