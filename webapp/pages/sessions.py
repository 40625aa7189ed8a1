"""Sessions of a work: kind, date, artist, technique, hand, and the mix."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession
from starlette.datastructures import FormData

from webapp.pages import mix_entries
from webapp.pages.form import Form
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm, found
from webapp.records import queries
from webapp.records.tables import Client, Session, Work
from webapp.records.words import FAMILIES, HANDS, SESSION_KINDS, TECHNIQUES

router = APIRouter()
_DILUTED_AT_MOST = 1000.0


@router.get("/works/{work_id}/sessions/new")
def new_session(request: Request, rows: Rows, work_id: int) -> HTMLResponse:
    """Show the form; a work's first entry starts as a first session."""
    work = found(rows, Work, work_id)
    first = queries.first_session_day(rows, work_id) is None
    form = Form({"on": date.today().isoformat(), "kind": "first session" if first else "touch-up"})
    return _form_page(request, rows, form, work, None)


@router.post("/works/{work_id}/sessions/new", response_model=None)
def add_session(request: Request, rows: Rows, form: SentForm, work_id: int) -> HTMLResponse | RedirectResponse:
    """Add a session."""
    work = found(rows, Work, work_id)
    return _store(request, rows, form, work, Session(work_id=work_id, kind="", on_date=date.today(), technique=""))


@router.get("/sessions/{session_id}")
def edit_session(request: Request, rows: Rows, session_id: int) -> HTMLResponse:
    """Show the form with what is known."""
    session = found(rows, Session, session_id)
    entries = {
        "kind": session.kind,
        "on": session.on_date.isoformat(),
        "rough": "yes" if session.day_is_rough else "",
        "artist": session.artist,
        "technique": session.technique,
        "hand": session.hand,
        "diluted": "" if session.diluted_parts is None else f"{session.diluted_parts:g}",
        "note": session.note,
    }
    form = Form(FormData([*entries.items(), *mix_entries.entries_of(rows, session)]))
    return _form_page(request, rows, form, found(rows, Work, session.work_id), session)


@router.post("/sessions/{session_id}", response_model=None)
def change_session(request: Request, rows: Rows, form: SentForm, session_id: int) -> HTMLResponse | RedirectResponse:
    """Change a session, or delete it where the delete button was pressed."""
    session = found(rows, Session, session_id)
    work = found(rows, Work, session.work_id)
    if form["delete"]:
        rows.delete(session)
        rows.commit()
        return RedirectResponse(f"/works/{work.id}", 303)
    return _store(request, rows, form, work, session)


def _store(
    request: Request, rows: DatabaseSession, form: Form, work: Work, session: Session
) -> HTMLResponse | RedirectResponse:
    if form["more"]:
        return _form_page(request, rows, form, work, session if session.id else None)
    kind = form.choice("kind", SESSION_KINDS)
    on = form.day("on")
    artist = form.text("artist", longest=80)
    technique = form.choice("technique", TECHNIQUES)
    hand = form.choice("hand", HANDS) if form["hand"] else ""
    diluted = form.number("diluted", 0, _DILUTED_AT_MOST) if form["diluted"].strip() else None
    note = form.text("note")
    mix = mix_entries.read_mix(rows, form, kind)
    if not form.sound:
        rows.rollback()
        stored = None if session.id is None else session
        return _form_page(request, rows, form, found(rows, Work, work.id or 0), stored, 422)

    session.kind, session.on_date, session.artist = kind, on, artist
    session.day_is_rough = bool(form["rough"])
    session.technique, session.hand, session.diluted_parts, session.note = technique, hand, diluted, note
    rows.add(session)
    rows.flush()
    mix_entries.keep_mix(rows, session, mix)
    rows.commit()
    return RedirectResponse(f"/works/{work.id}", 303)


def _form_page(
    request: Request,
    rows: DatabaseSession,
    form: Form,
    work: Work,
    session: Session | None,
    status: int = 200,
) -> HTMLResponse:
    groups = mix_entries.offered(rows, _day_of(form))
    return page(
        request,
        "session_form.html",
        status,
        form=form,
        work=work,
        client=found(rows, Client, work.client_id),
        session=session,
        kinds=SESSION_KINDS,
        techniques=TECHNIQUES,
        hands=HANDS,
        families=FAMILIES,
        groups=groups,
        cautions={c.value: c.caution for group in groups for c in group.choices if c.caution},
        lines=mix_entries.lines_of(form),
        artists=queries.artists(rows),
    )


def _day_of(form: Form) -> date:
    """Give the day by which bottles are judged: the session's where it was entered."""
    try:
        return date.fromisoformat(form["on"].strip())
    except ValueError:
        return date.today()
