"""Marking the known card, then the new one, on a photo that shows both."""

from __future__ import annotations

import json
from typing import Literal

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session as DatabaseSession

from webapp.pages.follow_up_entries import Answer, cards_on_shelf
from webapp.pages.form import Form
from webapp.pages.marks_sent import photo_of, points_sent
from webapp.pages.printed_strip import corners_found
from webapp.pages.render import page
from webapp.pages.studio import Photos, Rows, SentForm, StudioSettings, found
from webapp.records.tables import Card, CardPhoto, PhotoFile

router = APIRouter()
Which = Literal["known", "new"]


@router.get("/card-photos/{card_photo_id}/marks/{which}", response_model=None)
def show_marks(
    request: Request, rows: Rows, files: Photos, settings: StudioSettings, card_photo_id: int, which: Which
) -> Answer:
    """Show the photo to mark one of its two cards on; a printed strip is looked for."""
    begun = found(rows, CardPhoto, card_photo_id)
    if begun.card_id is not None:
        return RedirectResponse(f"/card-photos/{begun.id}", 303)
    known = found(rows, Card, begun.known_card_id)
    corners = begun.known_corners if which == "known" else begun.new_corners
    printed_id, strip_says = (known.printed_id if which == "known" else begun.printed_id), ""
    if not corners and printed_id:
        photo = photo_of(files, found(rows, PhotoFile, begun.photo_id), settings.max_pixels)
        corners, strip_says = corners_found(photo, printed_id, cards_on_shelf(rows))
    form = Form({"card_corners": json.dumps(corners) if corners else ""})
    return _marks_page(request, rows, begun, known, which, form, strip_says=strip_says)


@router.post("/card-photos/{card_photo_id}/marks/{which}", response_model=None)
def send_marks(request: Request, rows: Rows, form: SentForm, card_photo_id: int, which: Which) -> Answer:
    """Store the marks and go on: from the known card to the new one, from there to what came out."""
    begun = found(rows, CardPhoto, card_photo_id)
    if begun.card_id is None and not _keep(begun, which, form):
        return _marks_page(request, rows, begun, found(rows, Card, begun.known_card_id), which, form, 422)
    rows.commit()
    onward = "/marks/new" if which == "known" and begun.card_id is None else ""
    return RedirectResponse(f"/card-photos/{begun.id}{onward}", 303)


@router.post("/card-photos/{card_photo_id}/draft/{which}")
def keep_draft(rows: Rows, form: SentForm, card_photo_id: int, which: Which) -> Response:
    """Keep marks as they are made, until the card's values are kept; what is no mark changes nothing."""
    begun = found(rows, CardPhoto, card_photo_id)
    if begun.card_id is None and _keep(begun, which, form):
        rows.commit()
    return Response(status_code=204)


def _keep(begun: CardPhoto, which: Which, form: Form) -> bool:
    corners = points_sent(form, "card_corners", f"the {which} card's grey")
    if corners and which == "known":
        begun.known_corners = corners
    elif corners:
        begun.new_corners = corners
    return bool(corners)


def _marks_page(
    request: Request,
    rows: DatabaseSession,
    begun: CardPhoto,
    known: Card,
    which: Which,
    form: Form,
    status: int = 200,
    strip_says: str = "",
) -> HTMLResponse:
    stored = found(rows, PhotoFile, begun.photo_id)
    return page(
        request,
        "card_photo_marks.html",
        status,
        form=form,
        begun=begun,
        which=which,
        known=known,
        card=known.name if which == "known" else begun.name,
        steps=len(known.patches) if which == "known" else begun.steps,
        strip_says=strip_says,
        photo={
            "image_url": f"/photos/{stored.id}/whole.jpg",
            "width": stored.width,
            "height": stored.height,
            "card_corners_json": form["card_corners"],
            "card_only": True,
            "card_words": "Known card" if which == "known" else "New card",
        },
    )
