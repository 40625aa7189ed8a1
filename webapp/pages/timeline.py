"""A client's history on one page: everything in order of time, or what one work went through."""

from __future__ import annotations

from itertools import groupby

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from sqlmodel import col, select

from webapp.pages.judgement import judge_work
from webapp.pages.questionings import askings
from webapp.pages.render import page
from webapp.pages.studio import Rows, StudioSettings, found
from webapp.pages.timeline_events import events
from webapp.records import queries
from webapp.records.history import mixes
from webapp.records.tables import Client, Consent, Work

router = APIRouter(prefix="/clients")


@router.get("/{client_id}/history")
def show_history(
    request: Request, rows: Rows, settings: StudioSettings, client_id: int, work: str = ""
) -> HTMLResponse:
    """Show the history, the latest first; of one work alone where it is chosen."""
    client = found(rows, Client, client_id)
    works = list(rows.exec(select(Work).where(Work.client_id == client_id).order_by(col(Work.id))))
    chosen = next((w for w in works if str(w.id) == work), None)
    shown = [w.id or 0 for w in works if chosen is None or w is chosen]
    every = events(
        [judge_work(record, settings) for record in queries.works(rows, shown)],
        mixes(rows, shown),
        [] if chosen else askings(rows, client_id),
        [] if chosen else list(rows.exec(select(Consent).where(Consent.client_id == client_id))),
    )
    years = [(year, list(group)) for year, group in groupby(every, key=lambda e: e.on.year)]
    return page(request, "history.html", client=client, works=works, chosen=chosen, years=years)
