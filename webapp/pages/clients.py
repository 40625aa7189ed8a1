"""Clients: who they are, and where everything about them is found."""

from __future__ import annotations

from datetime import UTC, date, datetime

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession

from webapp.pages.consents import WORDS, statuses
from webapp.pages.contraindications import QUESTIONS, needs_care
from webapp.pages.form import Form
from webapp.pages.judged_works import fresh
from webapp.pages.questionings import askings
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm, StudioSettings, found
from webapp.records import queries
from webapp.records.tables import Client, Consent
from webapp.records.words import (
    AGE_BANDS,
    CONSENT_SCOPES,
    PHOTO_STORAGE,
    SKIN_QUALITIES,
    SKIN_TYPES,
    STUDIO_STATISTICS,
    TEACHING,
)

router = APIRouter(prefix="/clients")
CONSENT_TICKS = {
    PHOTO_STORAGE: "consent",
    STUDIO_STATISTICS: "consent_statistics",
    TEACHING: "consent_teaching",
}
"""The form's tick for each scope."""
_SKIN_CHOICES = {"skin_type": SKIN_TYPES, "age_band": AGE_BANDS, "skin_quality": SKIN_QUALITIES}


@router.get("/new")
def new_client(request: Request) -> HTMLResponse:
    """Show the empty form."""
    return _form_page(request, Form({"consent_on": date.today().isoformat()}), None)


@router.post("/new", response_model=None)
def add_client(request: Request, rows: Rows, form: SentForm) -> HTMLResponse | RedirectResponse:
    """Add a client, with the consents that were given."""
    client = Client(alias="", created_at=datetime.now(UTC))
    entries = _read(form, rows, client)
    scopes = [scope for scope in CONSENT_SCOPES if form[CONSENT_TICKS[scope]]]
    given_on = form.day("consent_on") if scopes else date.today()
    if not form.sound:
        return _form_page(request, form, None, 422)
    client.sqlmodel_update(entries)
    rows.add(client)
    rows.flush()
    rows.add_all(Consent(client_id=client.id or 0, scope=scope, given_on=given_on) for scope in scopes)
    rows.commit()
    return RedirectResponse(f"/clients/{client.id}", 303)


@router.get("/{client_id}")
def show_client(request: Request, rows: Rows, settings: StudioSettings, client_id: int) -> HTMLResponse:
    """Show a client: works, consents, and the ways to all the rest."""
    client = found(rows, Client, client_id)
    return page(
        request,
        "client.html",
        client=client,
        judged=fresh(rows, settings, client_id),
        statuses=statuses(rows, client_id),
        care=[QUESTIONS.get(key, key) for asking in askings(rows, client_id)[:1] for key in needs_care(asking.answers)],
    )


@router.get("/{client_id}/edit")
def edit_client(request: Request, rows: Rows, client_id: int) -> HTMLResponse:
    """Show the form with what is known."""
    client = found(rows, Client, client_id)
    known = ("alias", "skin_notes", "undertone", *_SKIN_CHOICES)
    return _form_page(request, Form({name: getattr(client, name) for name in known}), client)


@router.post("/{client_id}/edit", response_model=None)
def change_client(request: Request, rows: Rows, form: SentForm, client_id: int) -> HTMLResponse | RedirectResponse:
    """Change a client's alias and what the artist says of the skin."""
    client = found(rows, Client, client_id)
    entries = _read(form, rows, client)
    if not form.sound:
        return _form_page(request, form, client, 422)
    client.sqlmodel_update(entries)
    rows.commit()
    return RedirectResponse(f"/clients/{client_id}", 303)


def _form_page(request: Request, form: Form, client: Client | None, status: int = 200) -> HTMLResponse:
    scopes = [(CONSENT_TICKS[scope], WORDS[scope]) for scope in CONSENT_SCOPES]
    return page(
        request, "client_form.html", status, form=form, client=client, scopes=scopes, skin_choices=_SKIN_CHOICES
    )


def _read(form: Form, rows: DatabaseSession, client: Client) -> dict[str, str]:
    """Give the entries by column; the client's own alias may stay."""
    alias = form.text("alias", "Give an alias or a code; the full name is not needed.", longest=80)
    entries = {"alias": alias, "skin_notes": form.text("skin_notes"), "undertone": form.text("undertone", longest=120)}
    for name, words in _SKIN_CHOICES.items():
        entries[name] = form.choice(name, ("", *words))
    same = queries.client_called(rows, alias)
    if same is not None and same.id != client.id:
        form.errors["alias"] = "Another client already has this alias. Choose one that tells them apart."
    return entries
