"""A new work of a client, and what someone else put there before."""

from __future__ import annotations

from datetime import UTC, datetime

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from webapp.pages.form import Form
from webapp.pages.render import page
from webapp.pages.rough_day import rough_day
from webapp.pages.studio import Rows, SentForm, found
from webapp.records.tables import Client, Session, Work
from webapp.records.words import EARLIER_WORK, SITES, TECHNIQUES

router = APIRouter(prefix="/clients")


@router.get("/{client_id}/works/new")
def new_work(request: Request, rows: Rows, client_id: int) -> HTMLResponse:
    """Show the empty form of a work."""
    return _form_page(request, Form(), found(rows, Client, client_id))


@router.post("/{client_id}/works/new", response_model=None)
def add_work(request: Request, rows: Rows, form: SentForm, client_id: int) -> HTMLResponse | RedirectResponse:
    """Add a work on one site; earlier work by someone else becomes its first session, with unknown pigment."""
    client = found(rows, Client, client_id)
    work = Work(
        client_id=client_id,
        site=form.choice("site", SITES),
        note=form.text("note"),
        created_at=datetime.now(UTC),
    )
    earlier = _earlier(form) if form["earlier"] else None
    if not form.sound:
        return _form_page(request, form, client, 422)
    rows.add(work)
    rows.flush()
    if earlier is not None:
        earlier.work_id = work.id or 0
        rows.add(earlier)
    rows.commit()
    return RedirectResponse(f"/works/{work.id}", 303)


def _earlier(form: Form) -> Session:
    on, is_rough = rough_day(form, "earlier_on")
    return Session(
        work_id=0,
        kind=EARLIER_WORK,
        on_date=on,
        day_is_rough=is_rough,
        artist=form.text("earlier_artist", longest=80),
        technique=form.choice("earlier_technique", TECHNIQUES),
        note=form.text("earlier_note"),
    )


def _form_page(request: Request, form: Form, client: Client, status: int = 200) -> HTMLResponse:
    return page(request, "work_form.html", status, form=form, client=client, sites=SITES, techniques=TECHNIQUES)
