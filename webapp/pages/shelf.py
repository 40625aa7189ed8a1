"""The shelf: pigments with their family."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import col, select

from webapp.pages.form import Form
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm
from webapp.records import queries
from webapp.records.tables import Pigment
from webapp.records.words import FAMILIES

router = APIRouter()


@router.get("/pigments")
def show_pigments(request: Request, rows: Rows) -> HTMLResponse:
    """List the pigments, with a form for one more."""
    return _pigments(request, rows, Form())


@router.post("/pigments", response_model=None)
def add_pigment(request: Request, rows: Rows, form: SentForm) -> HTMLResponse | RedirectResponse:
    """Add a pigment."""
    name = form.text("name", "Give the name that stands on the bottle.", longest=120)
    family = form.choice("family", FAMILIES)
    note = form.text("note")
    if queries.pigment_called(rows, name) is not None:
        form.errors["name"] = "A pigment of this name is already on the shelf."
    if not form.sound:
        return _pigments(request, rows, form, 422)
    rows.add(Pigment(name=name, family=family, note=note))
    rows.commit()
    return RedirectResponse("/pigments", 303)


def _pigments(request: Request, rows: Rows, form: Form, status: int = 200) -> HTMLResponse:
    pigments = rows.exec(select(Pigment).order_by(col(Pigment.name))).all()
    return page(request, "pigments.html", status, form=form, pigments=pigments, families=FAMILIES)
