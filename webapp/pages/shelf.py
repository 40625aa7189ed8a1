"""The shelf: pigments found by name, maker or constituent, and one more added."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession

from webapp.pages.bottle_words import BottleWords, bottle_words
from webapp.pages.form import Form
from webapp.pages.label_rows import from_rows
from webapp.pages.pigment_entries import store_pigment
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm
from webapp.pigments.colour_index import colourants
from webapp.records import shelf_rows
from webapp.records.tables import Pigment
from webapp.records.words import FAMILIES, SITES

router = APIRouter()
_A_PAGE = 60


@dataclass(frozen=True)
class Shelved:
    """A pigment as the shelf lists it: what wants a look is said in words."""

    pigment: Pigment
    numbers: tuple[str, ...]
    bottles: tuple[BottleWords, ...]
    works: int
    to_look_at: tuple[str, ...]


@router.get("/pigments")
def show_pigments(request: Request, rows: Rows, q: str = "", start: int = 0) -> HTMLResponse:
    """List the pigments that hold the words, a page at a time."""
    start = max(min(start, 10**9), 0)
    found, count = shelf_rows.find_pigments(rows, q[:80], _A_PAGE, start)
    shelved = _shelved(rows, found, date.today())
    return page(
        request,
        "pigments.html",
        q=q[:80],
        shelved=shelved,
        count=count,
        start=start,
        step=_A_PAGE,
        any_at_all=count or q,
    )


@router.get("/pigments/new")
def new_pigment(request: Request) -> HTMLResponse:
    """Show the empty form of a pigment."""
    return form_page(request, Form(), None)


@router.post("/pigments", response_model=None)
def add_pigment(request: Request, rows: Rows, form: SentForm) -> HTMLResponse | RedirectResponse:
    """Add a pigment."""
    pigment = store_pigment(rows, form, None)
    if pigment is None:
        return form_page(request, form, None, 422)
    return RedirectResponse(f"/pigments/{pigment.id}", 303)


@router.get("/pigments/colour-index")
def show_colour_index(request: Request) -> HTMLResponse:
    """Show the built-in table of Colour Index numbers, each line with its source."""
    return page(request, "colour_index.html", lines=sorted(colourants().values(), key=lambda c: c.number))


def form_page(request: Request, form: Form, pigment: Pigment | None, status: int = 200) -> HTMLResponse:
    """Show the form of a pigment."""
    return page(request, "pigment_form.html", status, form=form, pigment=pigment, families=FAMILIES, sites=SITES)


def _shelved(rows: DatabaseSession, pigments: list[Pigment], today: date) -> list[Shelved]:
    keys = [p.id or 0 for p in pigments]
    made_of, bottles = shelf_rows.constituents_of(rows, keys), shelf_rows.bottles_of(rows, keys)
    works = shelf_rows.works_counted(rows, keys)
    result = []
    for pigment, key in zip(pigments, keys, strict=True):
        constituents = from_rows(made_of[key])
        words = tuple(w for w in (bottle_words(b, today) for b in bottles[key]) if w.state != "empty")
        open_questions = sum(c.role == "unknown" for c in constituents)
        looks = [f"{w.name}: {w.state}" for w in words if w.caution or w.state == "soon over"]
        looks += [f"CI {c.number} {_restricted(c.number)} in the EU" for c in constituents if c.caution]
        if open_questions:
            looks.append(f"{open_questions} constituent{'' if open_questions == 1 else 's'} not understood yet")
        numbers = tuple(dict.fromkeys(f"CI {c.number}" for c in constituents if c.number))
        result.append(Shelved(pigment, numbers, words, works.get(key, 0), tuple(dict.fromkeys(looks))))
    return result


def _restricted(number: str) -> str:
    line = colourants().get(number.partition(":")[0])
    return "" if line is None else line.restriction
