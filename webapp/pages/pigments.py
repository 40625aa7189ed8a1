"""A pigment: its label in plain words, its family and why, its bottles, its swatches, and where it was used."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession

from webapp.pages.bottle_words import bottle_words
from webapp.pages.form import Form
from webapp.pages.label_rows import doubted, from_rows, settle_family
from webapp.pages.pigment_entries import entries_of, store_pigment
from webapp.pages.render import page
from webapp.pages.shelf import form_page
from webapp.pages.studio import Rows, SentForm, found
from webapp.pigments.family import derive_family
from webapp.pigments.label import read_constituent, read_label
from webapp.records import shelf_rows
from webapp.records.tables import Constituent, Pigment
from webapp.records.words import ROLES

router = APIRouter(prefix="/pigments/{pigment_id}")
Answer = HTMLResponse | RedirectResponse
_ROLE_WORDS = (
    ("unknown", "I do not know yet"),
    ("colourant", "a colourant"),
    ("carrier", "it carries the colour (water, glycerin, alcohol)"),
    ("preservative", "it keeps the mixture"),
    ("other", "something else (thickener, binder, acid)"),
)


@router.get("")
def show_pigment(request: Request, rows: Rows, pigment_id: int) -> HTMLResponse:
    """Show a pigment, and ask about what was not understood."""
    return _pigment_page(request, rows, found(rows, Pigment, pigment_id), Form())


@router.get("/edit")
def edit_pigment(request: Request, rows: Rows, pigment_id: int) -> HTMLResponse:
    """Show the form with what is known."""
    pigment = found(rows, Pigment, pigment_id)
    return form_page(request, entries_of(rows, pigment), pigment)


@router.post("/edit", response_model=None)
def change_pigment(request: Request, rows: Rows, form: SentForm, pigment_id: int) -> Answer:
    """Change a pigment."""
    pigment = found(rows, Pigment, pigment_id)
    if store_pigment(rows, form, pigment) is None:
        rows.rollback()
        return form_page(request, form, found(rows, Pigment, pigment_id), 422)
    return RedirectResponse(f"/pigments/{pigment_id}", 303)


@router.post("/constituents", response_model=None)
def answer_questions(request: Request, rows: Rows, form: SentForm, pigment_id: int) -> Answer:
    """Take the artist's word on constituents; the family follows, unless she overruled it."""
    pigment = found(rows, Pigment, pigment_id)
    constituents = shelf_rows.constituents_of(rows, [pigment_id])[pigment_id]
    for row in constituents:
        if f"role_{row.id}" in form.entries or f"number_{row.id}" in form.entries:
            _answer(form, row)
    if not form.sound:
        rows.rollback()
        return _pigment_page(request, rows, found(rows, Pigment, pigment_id), form, 422)
    rows.flush()
    settle_family(pigment, from_rows(constituents))
    rows.commit()
    return RedirectResponse(f"/pigments/{pigment_id}", 303)


def _answer(form: Form, row: Constituent) -> None:
    """Take one answer: a number makes it a colourant."""
    entered = form[f"number_{row.id}"].strip()
    number = ""
    if entered:
        bare = entered if any(c.isalpha() for c in entered) else f"CI {entered}"
        number = read_constituent(bare).number
        if not number:
            form.errors[f"number_{row.id}"] = (
                "This is no Colour Index number: it has five digits, such as 77491. Compare it with the label, or "
                "leave it empty."
            )
    role = form.choice(f"role_{row.id}", ROLES) if form[f"role_{row.id}"] or not entered else "unknown"
    row.role, row.colour_index = ("colourant" if number else role), number


@router.post("/delete", response_model=None)
def delete_pigment(request: Request, rows: Rows, form: SentForm, pigment_id: int) -> Answer:
    """Delete a pigment that no session and no swatch names."""
    pigment = found(rows, Pigment, pigment_id)
    if shelf_rows.used_in(rows, pigment_id):
        form.errors["delete"] = (
            "It went into works, whose record must stay. Mark its bottles as empty instead; it then no longer stands "
            "among the bottles to choose from."
        )
    elif shelf_rows.swatches_of(rows, pigment_id):
        form.errors["delete"] = "It has swatches. Delete them first, so that no photo is lost unseen."
    if not form.sound:
        return _pigment_page(request, rows, pigment, form, 422)
    rows.delete(pigment)
    rows.commit()
    return RedirectResponse("/pigments", 303)


def _pigment_page(
    request: Request, rows: DatabaseSession, pigment: Pigment, form: Form, status: int = 200
) -> HTMLResponse:
    key = pigment.id or 0
    stored = shelf_rows.constituents_of(rows, [key])[key]
    constituents = [doubted(one) for one in from_rows(stored)]
    label = read_label(pigment.label)
    return page(
        request,
        "pigment.html",
        status,
        form=form,
        pigment=pigment,
        constituents=constituents,
        asked=[(row, one) for row, one in zip(stored, constituents, strict=True) if one.role == "unknown"],
        derived=derive_family(constituents),
        cautions=list(dict.fromkeys(c.caution for c in constituents if c.caution)),
        statements=label.statements,
        says_nickel=label.says_nickel,
        bottles=[bottle_words(b, date.today()) for b in shelf_rows.bottles_of(rows, [key])[key]],
        swatches=shelf_rows.swatches_of(rows, key),
        works=shelf_rows.used_in(rows, key),
        roles=_ROLE_WORDS,
    )
