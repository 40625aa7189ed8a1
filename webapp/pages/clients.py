"""Clients: who they are, their consent, their works."""

from __future__ import annotations

from datetime import UTC, date, datetime

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, func, select

from webapp.pages.form import Form
from webapp.pages.judged_works import fresh
from webapp.pages.render import page
from webapp.pages.studio import Photos, Rows, SentForm, StudioSettings, found
from webapp.records import queries
from webapp.records.database import forget_log
from webapp.records.tables import Client, Consent, FollowUp, PhotoFile, Work
from webapp.records.words import PHOTO_STORAGE, SITES

router = APIRouter(prefix="/clients")


@router.get("/new")
def new_client(request: Request) -> HTMLResponse:
    """Show the empty form."""
    return page(request, "client_form.html", form=Form({"consent_on": date.today().isoformat()}), client=None)


@router.post("/new", response_model=None)
def add_client(request: Request, rows: Rows, form: SentForm) -> HTMLResponse | RedirectResponse:
    """Add a client, with the consent where it was given."""
    alias, notes = _read(form, rows, None)
    consent_on = form.day("consent_on") if form["consent"] else None
    if not form.sound:
        return page(request, "client_form.html", 422, form=form, client=None)
    client = Client(alias=alias, skin_notes=notes, created_at=datetime.now(UTC))
    rows.add(client)
    rows.flush()
    if consent_on is not None and client.id is not None:
        rows.add(Consent(client_id=client.id, scope=PHOTO_STORAGE, given_on=consent_on))
    rows.commit()
    return RedirectResponse(f"/clients/{client.id}", 303)


@router.get("/{client_id}")
def show_client(request: Request, rows: Rows, settings: StudioSettings, client_id: int) -> HTMLResponse:
    """Show a client with works and consent."""
    return _show(request, rows, settings, found(rows, Client, client_id))


@router.get("/{client_id}/edit")
def edit_client(request: Request, rows: Rows, client_id: int) -> HTMLResponse:
    """Show the form with what is known."""
    client = found(rows, Client, client_id)
    form = Form({"alias": client.alias, "skin_notes": client.skin_notes})
    return page(request, "client_form.html", form=form, client=client)


@router.post("/{client_id}/edit", response_model=None)
def change_client(request: Request, rows: Rows, form: SentForm, client_id: int) -> HTMLResponse | RedirectResponse:
    """Change a client's alias and notes."""
    client = found(rows, Client, client_id)
    alias, notes = _read(form, rows, client)
    if not form.sound:
        return page(request, "client_form.html", 422, form=form, client=client)
    client.alias, client.skin_notes = alias, notes
    rows.commit()
    return RedirectResponse(f"/clients/{client_id}", 303)


@router.post("/{client_id}/consent", response_model=None)
def give_consent(
    request: Request, rows: Rows, settings: StudioSettings, form: SentForm, client_id: int
) -> HTMLResponse | RedirectResponse:
    """Record consent to photo storage."""
    client = found(rows, Client, client_id)
    given_on = form.day("consent_on")
    if not form["consent"]:
        form.errors["consent"] = "Tick that the client has agreed; without it no photo may be stored."
    if not form.sound:
        return _show(request, rows, settings, client, 422, form)
    if queries.consent_in_force(rows, client_id) is None:
        rows.add(Consent(client_id=client_id, scope=PHOTO_STORAGE, given_on=given_on))
        rows.commit()
    return RedirectResponse(f"/clients/{client_id}", 303)


@router.get("/{client_id}/withdraw")
def ask_withdrawal(request: Request, rows: Rows, client_id: int) -> HTMLResponse:
    """Say what a withdrawal of consent would delete."""
    client = found(rows, Client, client_id)
    photos, follow_ups = _counts(rows, client_id)
    return page(request, "withdraw.html", client=client, photos=photos, follow_ups=follow_ups, done=False)


@router.post("/{client_id}/withdraw")
def withdraw(request: Request, rows: Rows, files: Photos, client_id: int) -> HTMLResponse:
    """Withdraw consent: photos, what was measured on them and every picture made from them are deleted."""
    client = found(rows, Client, client_id)
    photos, follow_ups = _counts(rows, client_id)
    stored = rows.exec(select(PhotoFile).where(PhotoFile.client_id == client_id)).all()
    digests = [p.sha256 for p in stored]
    for photo in stored:
        rows.delete(photo)
    consents = rows.exec(select(Consent).where(Consent.client_id == client_id, col(Consent.withdrawn_on).is_(None)))
    for consent in consents:
        consent.withdrawn_on = date.today()
    rows.flush()
    # Files first: where this is interrupted, the rows are still there to ask again, and no face stays unseen.
    for digest in digests:
        files.discard(digest)
    rows.commit()
    forget_log(request.app.state.engine)
    return page(request, "withdraw.html", client=client, photos=photos, follow_ups=follow_ups, done=True)


@router.get("/{client_id}/works/new")
def new_work(request: Request, rows: Rows, client_id: int) -> HTMLResponse:
    """Show the empty form of a work."""
    return page(request, "work_form.html", form=Form(), client=found(rows, Client, client_id), sites=SITES)


@router.post("/{client_id}/works/new", response_model=None)
def add_work(request: Request, rows: Rows, form: SentForm, client_id: int) -> HTMLResponse | RedirectResponse:
    """Add a work on one site."""
    client = found(rows, Client, client_id)
    site, note = form.choice("site", SITES), form.text("note")
    if not form.sound:
        return page(request, "work_form.html", 422, form=form, client=client, sites=SITES)
    work = Work(client_id=client_id, site=site, note=note, created_at=datetime.now(UTC))
    rows.add(work)
    rows.commit()
    return RedirectResponse(f"/works/{work.id}", 303)


def _show(
    request: Request,
    rows: DatabaseSession,
    settings: StudioSettings,
    client: Client,
    status: int = 200,
    form: Form | None = None,
) -> HTMLResponse:
    return page(
        request,
        "client.html",
        status,
        client=client,
        judged=fresh(rows, settings, client.id),
        consent=queries.consent_in_force(rows, client.id or 0),
        form=form or Form({"consent_on": date.today().isoformat()}),
    )


def _read(form: Form, rows: DatabaseSession, client: Client | None) -> tuple[str, str]:
    alias = form.text("alias", "Give an alias or a code; the full name is not needed.", longest=80)
    notes = form.text("skin_notes")
    same = queries.client_called(rows, alias)
    if same is not None and (client is None or same.id != client.id):
        form.errors["alias"] = "Another client already has this alias. Choose one that tells them apart."
    return alias, notes


def _counts(rows: DatabaseSession, client_id: int) -> tuple[int, int]:
    photos = rows.exec(select(func.count()).select_from(PhotoFile).where(PhotoFile.client_id == client_id)).one()
    follow_ups = rows.exec(
        select(func.count()).select_from(FollowUp).join(Work).where(Work.client_id == client_id)
    ).one()
    return photos, follow_ups
