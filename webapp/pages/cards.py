"""The studio's cards: which there are, whose, and the true colours of their greys."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import col, select

from webapp.pages.card_entries import card_name, kind_and_id, read_patches, read_sd
from webapp.pages.form import Form
from webapp.pages.printed_strip import nominal_patches
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm
from webapp.photo.card import GREY_CARD
from webapp.records.tables import Card, CardPhoto
from webapp.records.words import CARD_KINDS, INSTRUMENT, MAKER, PRINTED_STRIP, STEP_CARD

router = APIRouter()
_TYPED_FROM = (MAKER, INSTRUMENT)
_STRIP_STEPS = 6


@router.get("/cards")
def show_cards(request: Request, rows: Rows) -> HTMLResponse:
    """List the cards, with a form for one more."""
    return _cards(request, rows, Form())


@router.post("/cards", response_model=None)
def add_card(request: Request, rows: Rows, form: SentForm) -> HTMLResponse | RedirectResponse:
    """Add a card with its kind and the CIELAB of its one patch or its steps."""
    name, note = card_name(form, rows), form.text("note")
    kind, printed_id = kind_and_id(form)
    patches, sd = read_patches(form), read_sd(form)
    known = bool(patches)
    source = form.choice("values_from", _TYPED_FROM) if known else ""
    if known and not source:
        form.errors["values_from"] = "Say where the values come from: the maker’s sheet, or an instrument."
    if sd is not None and not known and "patches" not in form.errors:
        form.errors["sd"] = "A standard deviation belongs to values. Type the values too, or leave this empty."
    _check_count(form, kind, len(patches))
    if not form.sound:
        return _cards(request, rows, form, 422)
    if not known:
        patches = nominal_patches(printed_id) if kind == PRINTED_STRIP else [list(GREY_CARD)]
    rows.add(
        Card(
            name=name,
            kind=kind,
            printed_id=printed_id,
            patches=patches,
            values_known=known,
            values_from=source,
            patch_sd=None if sd is None else [sd] * len(patches),
            note=note,
        )
    )
    rows.commit()
    return RedirectResponse("/cards", 303)


def _check_count(form: Form, kind: str, count: int) -> None:
    """Say where the number of values typed is not that of the kind's patches."""
    if "patches" in form.errors:
        return
    if kind == STEP_CARD and count < 2:
        form.errors["patches"] = (
            "A step card has two steps or more, whose values nobody can guess. Type one line a step from its maker’s "
            "sheet, or take the values from a photo beside a known card."
        )
    elif kind == PRINTED_STRIP and count not in (0, _STRIP_STEPS):
        form.errors["patches"] = (
            f"A printed strip has six steps, and {count} values are typed. Type six lines, lightest first, or none."
        )
    elif kind not in (STEP_CARD, PRINTED_STRIP) and count > 1:
        form.errors["patches"] = f"A grey card has one grey, and {count} are typed. Choose step card for several."


def _cards(request: Request, rows: Rows, form: Form, status: int = 200) -> HTMLResponse:
    cards = rows.exec(select(Card).order_by(col(Card.name))).all()
    unfinished = rows.exec(select(CardPhoto).where(col(CardPhoto.card_id).is_(None)).order_by(col(CardPhoto.id)))
    return page(
        request,
        "cards.html",
        status,
        form=form,
        cards=cards,
        unfinished=unfinished.all(),
        kinds=CARD_KINDS,
        sources=_TYPED_FROM,
    )
