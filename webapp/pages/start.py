"""The first page: every client's works, what needs a look first at the top."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, PlainTextResponse
from sqlmodel import col, select

from webapp.pages.judgement import judge_work
from webapp.pages.render import page
from webapp.pages.studio import Rows, StudioSettings
from webapp.records import queries
from webapp.records.tables import Client

router = APIRouter()


@router.get("/health")
def health() -> PlainTextResponse:
    """Answer that the server is up."""
    return PlainTextResponse("ok")


@router.get("/")
def start(request: Request, rows: Rows, settings: StudioSettings) -> HTMLResponse:
    """List the works by what needs a look first, then clients without works."""
    verdicts = [judge_work(record, settings) for record in queries.works(rows)]
    verdicts.sort(key=lambda v: (v.flag.order, v.record.client.alias))
    with_works = {v.record.client.id for v in verdicts}
    clients = rows.exec(select(Client).order_by(col(Client.alias))).all()
    return page(
        request,
        "start.html",
        verdicts=verdicts,
        unfinished=[(v.record, f) for v in verdicts for f in v.record.unfinished],
        idle_clients=[c for c in clients if c.id not in with_works],
        any_clients=bool(clients),
    )
