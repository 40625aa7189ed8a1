"""Sessions of a work: kind, date, artist, technique, pigments."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, select

from webapp.pages.form import Form
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm, found
from webapp.records import queries
from webapp.records.tables import Client, Pigment, Session, SessionPigment, Work
from webapp.records.words import ADDS_PIGMENT, EARLIER_WORK, FAMILIES, SESSION_KINDS, TECHNIQUES

router = APIRouter()


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
    used = rows.exec(select(SessionPigment.pigment_id).where(SessionPigment.session_id == session_id))
    form = Form(
        {
            "kind": session.kind,
            "on": session.on_date.isoformat(),
            "artist": session.artist,
            "technique": session.technique,
            "pigments": ",".join(str(u) for u in used),
            "note": session.note,
        }
    )
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
    kind = form.choice("kind", SESSION_KINDS)
    on = form.day("on")
    artist = form.text("artist", longest=80)
    technique = form.choice("technique", TECHNIQUES)
    note = form.text("note")
    shelf = {str(p.id): p for p in rows.exec(select(Pigment))}
    chosen = [shelf[key] for key in form.all("pigments") if key in shelf]
    new_name, new_family = form.text("new_pigment", longest=120), form["new_pigment_family"]
    if new_name:
        form.choice("new_pigment_family", FAMILIES)
        same = queries.pigment_called(rows, new_name)
        if same is None and form.sound:
            same = Pigment(name=new_name, family=new_family)
        if same is not None and same not in chosen:
            chosen.append(same)
    if kind in ADDS_PIGMENT and kind != EARLIER_WORK and not chosen and not new_name:
        form.errors["pigments"] = "Tick the pigment that was used, or add it below; “unknown” is a family too."
    if not form.sound:
        rows.rollback()
        stored = None if session.id is None else session
        return _form_page(request, rows, form, found(rows, Work, work.id or 0), stored, 422)

    session.kind, session.on_date, session.artist = kind, on, artist
    session.technique, session.note = technique, note
    rows.add(session)
    rows.add_all(p for p in chosen if p.id is None)
    rows.flush()
    earlier = rows.exec(select(SessionPigment).where(SessionPigment.session_id == session.id))
    for row in earlier.all():
        rows.delete(row)
    rows.flush()
    for pigment in chosen:
        rows.add(SessionPigment(session_id=session.id or 0, pigment_id=pigment.id or 0))
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
        families=FAMILIES,
        pigments=rows.exec(select(Pigment).order_by(col(Pigment.name))).all(),
        artists=queries.artists(rows),
    )
