"""Consents: given with date and scope, printed for signature, withdrawn at any time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, select

from webapp.pages.form import Form
from webapp.pages.render import page
from webapp.pages.studio import Photos, Rows, SentForm, found
from webapp.records import queries
from webapp.records.database import forget_log
from webapp.records.tables import Client, Consent
from webapp.records.withdrawing import covered, withdraw_consent
from webapp.records.words import CONSENT_SCOPES, PHOTO_STORAGE, STUDIO_STATISTICS, TEACHING

router = APIRouter(prefix="/clients")


@dataclass(frozen=True)
class ScopeWords:
    """What a scope means, in words for the client: what she agrees to, what is done, what a withdrawal does."""

    agrees: str
    means: str
    ends: str


WORDS: Mapping[str, ScopeWords] = {
    PHOTO_STORAGE: ScopeWords(
        "Photos of the work are kept",
        "Photos of the tattooed place are stored on the studio's own computer, with the colours measured on them, "
        "so that the healed colour can be followed over the years. They are sent nowhere.",
        "The photos, everything measured on them and every picture made from them are deleted at once. "
        "What was done and when stays on record.",
    ),
    STUDIO_STATISTICS: ScopeWords(
        "The measured colours count in the studio's figures",
        "Colours and dates count, together with those of other clients, in figures such as how fast a family of "
        "pigments fades. No photo and no name is part of such a figure.",
        "From that moment no figure of the studio counts these colours any more.",
    ),
    TEACHING: ScopeWords(
        "Photos may be shown in teaching",
        "Photos of the tattooed place may be shown to people who learn the trade; which ones, where and to whom is "
        "written in the note. Without a note: inside the studio only.",
        "The photos are shown no more. Copies that were handed out before are asked back and deleted by the studio.",
    ),
}


@dataclass(frozen=True)
class ScopeStatus:
    """A scope, its words, the consent in force if any, and all consents ever given, the latest first."""

    scope: str
    words: ScopeWords
    in_force: Consent | None
    history: tuple[Consent, ...]


def statuses(rows: DatabaseSession, client_id: int) -> tuple[ScopeStatus, ...]:
    """Give where a client stands in each scope."""
    wanted = select(Consent).where(Consent.client_id == client_id)
    given = rows.exec(wanted.order_by(col(Consent.given_on).desc(), col(Consent.id).desc())).all()
    return tuple(
        ScopeStatus(
            scope,
            WORDS[scope],
            next((c for c in reversed(given) if c.scope == scope and c.withdrawn_on is None), None),
            tuple(c for c in given if c.scope == scope),
        )
        for scope in CONSENT_SCOPES
    )


@router.get("/{client_id}/consents")
def show_consents(request: Request, rows: Rows, client_id: int) -> HTMLResponse:
    """Show where the client stands, with a form for what is agreed now."""
    return _show(request, rows, found(rows, Client, client_id), Form({"consent_on": date.today().isoformat()}))


@router.get("/{client_id}/consents/print")
def print_consents(request: Request, rows: Rows, client_id: int) -> HTMLResponse:
    """Show a page to print and sign: the scopes to tick by hand."""
    client = found(rows, Client, client_id)
    return page(request, "consent_print.html", client=client, statuses=statuses(rows, client_id))


@router.post("/{client_id}/consent", response_model=None)
def give_consent(request: Request, rows: Rows, form: SentForm, client_id: int) -> HTMLResponse | RedirectResponse:
    """Record what the client agrees to; what is in force already stays as it was given."""
    client = found(rows, Client, client_id)
    scopes = [scope for scope in CONSENT_SCOPES if scope in form.all("scopes")]
    given_on = form.day("consent_on")
    note = form.text("consent_note", longest=500)
    if not scopes:
        form.errors["scopes"] = "Tick what the client has agreed to; without a tick nothing is recorded."
    if not form.sound:
        return _show(request, rows, client, form, 422)
    for scope in scopes:
        if queries.consent_in_force(rows, client_id, scope) is None:
            rows.add(Consent(client_id=client_id, scope=scope, given_on=given_on, note=note))
    rows.commit()
    return RedirectResponse(f"/clients/{client_id}", 303)


@router.get("/{client_id}/withdraw")
def ask_withdrawal(request: Request, rows: Rows, client_id: int, scope: str = PHOTO_STORAGE) -> HTMLResponse:
    """Say what a withdrawal of consent would remove."""
    client = found(rows, Client, client_id)
    return page(request, "withdraw.html", client=client, scope=_known(scope), goes=covered(rows, client_id), done=False)


@router.post("/{client_id}/withdraw", response_model=None)
def withdraw(request: Request, rows: Rows, files: Photos, form: SentForm, client_id: int) -> HTMLResponse:
    """Withdraw consent: what it covers is removed at once, and the answer says what that was."""
    client = found(rows, Client, client_id)
    scope = _known(form["scope"] or PHOTO_STORAGE)
    goes = covered(rows, client_id)
    withdraw_consent(rows, files, client_id, scope, date.today())
    forget_log(request.app.state.engine)
    return page(request, "withdraw.html", client=client, scope=scope, goes=goes, done=True)


def _known(scope: str) -> str:
    """Give the scope; an unknown one is no page, lest something else be withdrawn than was meant."""
    if scope not in CONSENT_SCOPES:
        raise HTTPException(404)
    return scope


def _show(request: Request, rows: DatabaseSession, client: Client, form: Form, status: int = 200) -> HTMLResponse:
    return page(request, "consents.html", status, client=client, form=form, statuses=statuses(rows, client.id or 0))
