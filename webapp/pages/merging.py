"""Merging two records of one person: choosing the other, seeing what goes where, doing it."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session as DatabaseSession
from sqlmodel import select

from webapp.pages.form import Form
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm, found
from webapp.records.client_search import find_clients, others_alike
from webapp.records.merging import MergeChoices, MergePlan, MergeRefused, merge_clients, plan_merge
from webapp.records.tables import Client, Consent, Work

router = APIRouter(prefix="/clients")
_OFFERED = 12


@router.get("/{client_id}/merge")
def choose_other(request: Request, rows: Rows, client_id: int, q: str = "") -> HTMLResponse:
    """Offer other records that may be the same person, and a search for any other."""
    client = found(rows, Client, client_id)
    sought, total = find_clients(rows, q.strip()[:80], _OFFERED) if q.strip() else ((), 0)
    return page(
        request,
        "merge_choose.html",
        client=client,
        q=q,
        total=total,
        sought=[c for c in sought if c.client_id != client_id],
        alike=others_alike(rows, client),
    )


@router.get("/{client_id}/merge/{other_id}", response_model=None)
def show_merge(request: Request, rows: Rows, client_id: int, other_id: int) -> HTMLResponse:
    """Show two records side by side, and what merging them would do."""
    keep, other = found(rows, Client, client_id), found(rows, Client, other_id)
    return _show(request, rows, keep, other, Form(dict.fromkeys(("alias", "undertone"), "keep")))


@router.post("/{client_id}/merge/{other_id}", response_model=None)
def merge(request: Request, rows: Rows, form: SentForm, client_id: int, other_id: int) -> HTMLResponse:
    """Merge the second record into the first, in one transaction."""
    keep, other = found(rows, Client, client_id), found(rows, Client, other_id)
    gone, kept_works = other.alias, {str(w.id) for w in _works(rows, other)}
    try:
        plan = plan_merge(rows, keep, other)
        pairs = {str(theirs.id): own.id or 0 for own, theirs in plan.same_site}
        choices = MergeChoices(
            frozenset(name for name in plan.differs if form[name] == "other"),
            {int(key): pairs[key] for key in form.all("join") if key in pairs and key in kept_works},
        )
        moves = dict(plan.moves)
        merge_clients(rows, plan, choices, date.today())
        rows.commit()
    except MergeRefused as refused:
        rows.rollback()
        form.errors["merge"] = str(refused)
        return _show(request, rows, found(rows, Client, client_id), found(rows, Client, other_id), form, 422)
    return page(
        request, "merged.html", client=found(rows, Client, client_id), gone=gone, moves=moves, joined=len(choices.join)
    )


def _show(
    request: Request, rows: DatabaseSession, keep: Client, other: Client, form: Form, status: int = 200
) -> HTMLResponse:
    try:
        plan: MergePlan | None = plan_merge(rows, keep, other)
    except MergeRefused as refused:
        plan = None
        form.errors["merge"] = str(refused)
        status = 422
    return page(
        request,
        "merge.html",
        status,
        plan=plan,
        form=form,
        sides=[(client, _works(rows, client), _consents(rows, client)) for client in (keep, other)],
    )


def _works(rows: DatabaseSession, client: Client) -> list[Work]:
    return list(rows.exec(select(Work).where(Work.client_id == client.id)))


def _consents(rows: DatabaseSession, client: Client) -> list[Consent]:
    return list(rows.exec(select(Consent).where(Consent.client_id == client.id)))
