"""The studio's cards: which there are, and the true colours of their greys."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import col, select

from webapp.pages.form import Form
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm
from webapp.photo.card import GREY_CARD
from webapp.records import queries
from webapp.records.tables import Card

router = APIRouter()
_STEPS_AT_MOST = 12


@router.get("/cards")
def show_cards(request: Request, rows: Rows) -> HTMLResponse:
    """List the cards, with a form for one more."""
    return _cards(request, rows, Form())


@router.post("/cards", response_model=None)
def add_card(request: Request, rows: Rows, form: SentForm) -> HTMLResponse | RedirectResponse:
    """Add a card with the CIELAB of its one patch or its steps."""
    name = form.text("name", "Give the card a name that tells it from the others.", longest=120)
    note = form.text("note")
    patches = read_patches(form)
    if queries.card_called(rows, name) is not None:
        form.errors["name"] = "A card of this name is already here."
    if not form.sound:
        return _cards(request, rows, form, 422)
    rows.add(Card(name=name, patches=patches, values_known=patches != [list(GREY_CARD)], note=note))
    rows.commit()
    return RedirectResponse("/cards", 303)


def read_patches(form: Form) -> list[list[float]]:
    """Read the field "patches": one line a patch, L a b; empty means the plain grey card."""
    lines = [line for line in form["patches"].splitlines() if line.strip()]
    patches: list[list[float]] = []
    for line in lines:
        words = line.replace(";", " ").replace("−", "-").split()
        words = [w.replace(",", ".") if w.count(",") == 1 and not w.endswith(",") else w.strip(",") for w in words]
        try:
            values = [float(w) for w in words]
        except ValueError:
            values = []
        if len(values) != 3 or not (1 <= values[0] <= 100 and max(map(abs, values[1:])) <= 15):
            form.errors["patches"] = (
                f"“{line.strip()}” is not a grey’s L* a* b*. Write three numbers a line, such as 49.5 0 0: "
                "L* from 1 to 100, a* and b* within ± 15."
            )
            return []
        patches.append(values)
    if len(patches) > _STEPS_AT_MOST:
        form.errors["patches"] = f"At most {_STEPS_AT_MOST} steps are read."
    return patches or [list(GREY_CARD)]


def _cards(request: Request, rows: Rows, form: Form, status: int = 200) -> HTMLResponse:
    cards = rows.exec(select(Card).order_by(col(Card.name))).all()
    return page(request, "cards.html", status, form=form, cards=cards)
