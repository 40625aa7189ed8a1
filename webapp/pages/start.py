"""The first page: every client's works, what needs a look first at the top."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, PlainTextResponse
from sqlmodel import col, select

from webapp.pages.judged_works import fresh
from webapp.pages.render import page
from webapp.pages.studio import Rows, StudioSettings
from webapp.records.tables import Client

router = APIRouter()


@router.get("/health")
def health() -> PlainTextResponse:
    """Answer that the server is up."""
    return PlainTextResponse("ok")


@router.get("/")
def start(request: Request, rows: Rows, settings: StudioSettings) -> HTMLResponse:
    """List the works by what needs a look first, then clients without works."""
    judged = fresh(rows, settings)
    judged.sort(key=lambda j: (j.flag.order, j.line.alias))
    with_works = {j.line.client_id for j in judged}
    clients = rows.exec(select(Client).order_by(col(Client.alias))).all()
    return page(
        request,
        "start.html",
        judged=judged,
        unfinished=[(j.line, f) for j in judged for f in j.line.unfinished],
        idle_clients=[c for c in clients if c.id not in with_works],
        any_clients=bool(clients),
    )
