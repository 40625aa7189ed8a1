"""The page that prints the almanac's own card, and the sheet itself."""

from __future__ import annotations

import io
from functools import lru_cache

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import select

from webapp.pages.printed_strip import NAME, new_strip
from webapp.pages.render import page
from webapp.pages.studio import Rows
from webapp.photo.print_sheet import PAPERS_MM, Paper, cards_on, draw_sheet
from webapp.photo.printed_card import DPI, STUDIO_ID, draw_card, printed_card
from webapp.records.tables import Card

router = APIRouter()
_NAMES: dict[Paper, str] = {"a4": "A4", "letter": "US Letter"}


@router.get("/cards/print")
def show_print(request: Request, paper: str = "a4") -> HTMLResponse:
    """Say how to print the strips, show one, and lead to the sheet."""
    chosen = _known(paper)
    wrong = "" if chosen else "There is no sheet of that paper. A4 and US Letter can be printed; A4 is shown."
    chosen = chosen or "a4"
    return page(
        request,
        "card_print.html",
        422 if wrong else 200,
        wrong=wrong,
        paper=chosen,
        papers=_NAMES,
        count=cards_on(chosen),
        card=printed_card(STUDIO_ID),
    )


@router.post("/cards/print")
def add_strip(rows: Rows) -> RedirectResponse:
    """Put the strip among the studio's cards, once."""
    if rows.exec(select(Card).where(Card.name == NAME)).first() is None:
        rows.add(new_strip())
        rows.commit()
    return RedirectResponse("/cards", 303)


@router.get("/cards/print/sheet.pdf", response_model=None)
def give_sheet(request: Request, paper: str = "a4") -> Response:
    """Give the sheet of strips as a PDF of the paper's size."""
    chosen = _known(paper)
    if chosen is None:
        return show_print(request, paper)
    name = f'inline; filename="printed-card-{chosen}.pdf"'
    return Response(_sheet(chosen), media_type="application/pdf", headers={"Content-Disposition": name})


@router.get("/cards/print/strip.png")
def give_strip(request: Request) -> Response:
    """Give one strip as a picture for the page."""
    return Response(_strip(), media_type="image/png")


def _known(paper: str) -> Paper | None:
    return next((p for p in PAPERS_MM if p == paper.strip().lower()), None)


@lru_cache(maxsize=2)
def _sheet(paper: Paper) -> bytes:
    return draw_sheet(printed_card(STUDIO_ID), paper)


@lru_cache(maxsize=1)
def _strip() -> bytes:
    buffer = io.BytesIO()
    draw_card(printed_card(STUDIO_ID)).save(buffer, "PNG", dpi=(DPI, DPI))
    return buffer.getvalue()
