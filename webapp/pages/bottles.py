"""The bottles of a pigment: batch, opened, expires, time after opening, empty."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession

from webapp.pages.bottle_words import bottle_words
from webapp.pages.form import Form
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm, found
from webapp.pigments.bottle_age import read_label_day
from webapp.records.tables import Bottle, Pigment

router = APIRouter()
Answer = HTMLResponse | RedirectResponse
_LONGEST_MONTHS = 120


@router.get("/pigments/{pigment_id}/bottles/new")
def new_bottle(request: Request, rows: Rows, pigment_id: int) -> HTMLResponse:
    """Show the empty form of a bottle."""
    return _form_page(request, Form(), found(rows, Pigment, pigment_id), None)


@router.post("/pigments/{pigment_id}/bottles/new", response_model=None)
def add_bottle(request: Request, rows: Rows, form: SentForm, pigment_id: int) -> Answer:
    """Add a bottle."""
    pigment = found(rows, Pigment, pigment_id)
    return _store(request, rows, form, pigment, Bottle(pigment_id=pigment_id))


@router.get("/bottles/{bottle_id}")
def edit_bottle(request: Request, rows: Rows, bottle_id: int) -> HTMLResponse:
    """Show the form with what is known."""
    bottle = found(rows, Bottle, bottle_id)
    form = Form(
        {
            "batch": bottle.batch,
            "opened": _iso(bottle.opened_on),
            "expires": _iso(bottle.expires_on),
            "months": "" if bottle.months_after_opening is None else str(bottle.months_after_opening),
            "empty": _iso(bottle.empty_on),
            "note": bottle.note,
        }
    )
    return _form_page(request, form, found(rows, Pigment, bottle.pigment_id), bottle)


@router.post("/bottles/{bottle_id}", response_model=None)
def change_bottle(request: Request, rows: Rows, form: SentForm, bottle_id: int) -> Answer:
    """Change a bottle; or note that it is empty, or delete it, where that button was pressed."""
    bottle = found(rows, Bottle, bottle_id)
    pigment = found(rows, Pigment, bottle.pigment_id)
    if form["is_empty"]:
        bottle.empty_on = date.today()
        rows.commit()
    elif form["delete"]:
        rows.delete(bottle)
        rows.commit()
    else:
        return _store(request, rows, form, pigment, bottle)
    return RedirectResponse(f"/pigments/{pigment.id}#bottles", 303)


def _store(request: Request, rows: DatabaseSession, form: Form, pigment: Pigment, bottle: Bottle) -> Answer:
    batch, note = form.text("batch", longest=80), form.text("note")
    opened = form.day("opened") if form["opened"].strip() else None
    empty = form.day("empty") if form["empty"].strip() else None
    expires = read_label_day(form["expires"])
    if expires is None and form["expires"].strip():
        form.errors["expires"] = (
            "Give the date as the label prints it: 2027-03-31, or 2027-03 or 03/2027 for the end of that month."
        )
    months = form.number("months", 1, _LONGEST_MONTHS) if form["months"].strip() else None
    if months is not None and form.sound and months != int(months):
        form.errors["months"] = "Give whole months."
    if opened is not None and empty is not None and form.sound and empty < opened:
        form.errors["empty"] = "It cannot have been empty before it was opened."
    if not form.sound:
        return _form_page(request, form, pigment, bottle if bottle.id else None, 422)
    bottle.batch, bottle.note = batch, note
    bottle.opened_on, bottle.expires_on, bottle.empty_on = opened, expires, empty
    bottle.months_after_opening = None if months is None else int(months)
    rows.add(bottle)
    rows.commit()
    return RedirectResponse(f"/pigments/{pigment.id}#bottles", 303)


def _form_page(
    request: Request, form: Form, pigment: Pigment, bottle: Bottle | None, status: int = 200
) -> HTMLResponse:
    words = None if bottle is None else bottle_words(bottle, date.today())
    return page(request, "bottle_form.html", status, form=form, pigment=pigment, bottle=bottle, words=words)


def _iso(day: date | None) -> str:
    return "" if day is None else day.isoformat()
