"""The second step of a follow-up: card and outline are marked, and what they measure is shown and saved."""

from __future__ import annotations

import json
from dataclasses import asdict

import numpy as np
from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from sqlmodel import Session as DatabaseSession

from webapp.pages.follow_up_entries import (
    Answer,
    card_chosen,
    cards_on_shelf,
    day_entered,
    density_of,
    measurement_of,
    surroundings,
)
from webapp.pages.form import Form
from webapp.pages.marks_sent import corners_round, photo_of, points_sent
from webapp.pages.measuring import Marks, keep_measurement, keep_pictures
from webapp.pages.offered_outline import Offer, offer_outline
from webapp.pages.printed_strip import corners_found, is_printed_strip
from webapp.pages.render import page
from webapp.pages.studio import Photos, Rows, SentForm, StudioSettings, found
from webapp.photo.card import divide_strip, in_card_order
from webapp.photo.polygon import MarkUnusable
from webapp.records.tables import Card, FollowUp, PhotoFile
from webapp.records.words import OUTLINE_SOURCES

router = APIRouter()
_CARD, _WORK = "the card's grey", "the work"


@router.get("/follow-ups/{follow_up_id}/marks")
def show_marks(
    request: Request, rows: Rows, files: Photos, settings: StudioSettings, follow_up_id: int
) -> HTMLResponse:
    """Show the photo with what is marked on it; a new one is offered an outline.

    A printed strip is looked for, so that it need not be marked.
    """
    follow_up = found(rows, FollowUp, follow_up_id)
    corners, strip_says = corners_round(follow_up.card_patches), ""
    card = found(rows, Card, follow_up.card_id)
    if not corners and is_printed_strip(card):
        photo = photo_of(files, found(rows, PhotoFile, follow_up.photo_id), settings.max_pixels)
        corners, strip_says = corners_found(photo, card.printed_id, cards_on_shelf(rows))
    form = Form(
        {
            "card": str(follow_up.card_id),
            "on": follow_up.on_date.isoformat(),
            "note": follow_up.note,
            "card_corners": json.dumps(corners) if corners else "",
            "outline": json.dumps(follow_up.outline) if follow_up.outline else "",
            "outline_from": follow_up.outline_from,
            "outline_confidence": _written(follow_up.outline_confidence),
        }
    )
    offer = None
    if not follow_up.outline:
        offer = offer_outline(rows, files, follow_up, corners, settings.max_pixels)
    return _marks_page(request, rows, follow_up, form, offer=offer, strip_says=strip_says)


@router.post("/follow-ups/{follow_up_id}/proposal")
def propose(rows: Rows, files: Photos, settings: StudioSettings, form: SentForm, follow_up_id: int) -> Response:
    """Give the outline to start from once the card is marked, as JSON; nothing where there is none."""
    follow_up = found(rows, FollowUp, follow_up_id)
    corners = points_sent(form, "card_corners", _CARD)
    offer = offer_outline(rows, files, follow_up, corners, settings.max_pixels) if corners else None
    return Response(status_code=204) if offer is None else JSONResponse(asdict(offer))


@router.post("/follow-ups/{follow_up_id}/marks", response_model=None)
def review_marks(
    request: Request, rows: Rows, files: Photos, settings: StudioSettings, form: SentForm, follow_up_id: int
) -> Answer:
    """Measure by the marks that were sent and show the result; save it where that was asked for.

    What was entered for a follow-up that has no measurement yet is kept at once, so that closing the browser
    loses nothing; a measured one changes only with the measurement.
    """
    follow_up = found(rows, FollowUp, follow_up_id)
    card, on, note = card_chosen(form, rows), day_entered(form, rows, follow_up.work_id), form.text("note")
    corners, outline = points_sent(form, "card_corners", _CARD), points_sent(form, "outline", _WORK)
    if measurement_of(rows, follow_up) is None:
        _keep_marks(follow_up, form, corners, outline)
        if card is not None and on is not None and not {"on", "note"} & form.errors.keys():
            follow_up.card_id, follow_up.on_date, follow_up.note = card.id or 0, on, note
        rows.commit()
    if form["back"] or not form.sound or card is None or on is None:
        return _marks_page(request, rows, follow_up, form, 200 if form["back"] else 422)

    stored = found(rows, PhotoFile, follow_up.photo_id)
    try:
        photo = photo_of(files, stored, settings.max_pixels)
        cells = divide_strip(np.array(corners), len(card.patches))
        ordered = in_card_order(photo, cells, card.patches)
        marks = Marks([c.tolist() for c in ordered], outline)
        made = marks.measure(photo, card, cards=cards_on_shelf(rows))
    except MarkUnusable as unusable:
        form.errors["outline" if "outline" in str(unusable).lower() else "card_corners"] = str(unusable)
        return _marks_page(request, rows, follow_up, form, 422)
    key = f"{follow_up.id}-{marks.digest(card)}"
    keep_pictures(files, stored, key, photo, marks, made)
    if form["save"]:
        follow_up.card_id, follow_up.on_date, follow_up.note = card.id or 0, on, note
        _keep_marks(follow_up, form, [], outline)
        keep_measurement(rows, follow_up, marks, made)
        files.drop_derived(stored.sha256, f"{follow_up.id}-", keep=key)
        return RedirectResponse(f"/works/{follow_up.work_id}#photo-{follow_up.id}", 303)
    return page(
        request,
        "review.html",
        form=form,
        pigment=made.pigment,
        skin=made.skin,
        density=density_of(made.pigment, made.skin),
        outline=made.outline,
        outline_density=density_of(made.outline, made.skin),
        grade=made.quality.grade,
        reasons=[r.sentence for r in made.quality.reasons] + list(photo.notes),
        method=made.method,
        patches=made.patches,
        residual=made.residual,
        key=key,
        card=card,
        **surroundings(rows, follow_up),
    )


@router.post("/follow-ups/{follow_up_id}/draft")
def keep_draft(rows: Rows, form: SentForm, follow_up_id: int) -> Response:
    """Keep the marks of an unfinished follow-up as they are made; what is no mark changes nothing."""
    follow_up = found(rows, FollowUp, follow_up_id)
    if measurement_of(rows, follow_up) is None:
        _keep_marks(follow_up, form, points_sent(form, "card_corners", _CARD), points_sent(form, "outline", _WORK))
        rows.commit()
    return Response(status_code=204)


def _keep_marks(follow_up: FollowUp, form: Form, corners: list[list[float]], outline: list[list[float]]) -> None:
    """Take over what is marked, each mark by itself, and where the outline came from."""
    if corners:
        follow_up.card_patches = [corners]
    if outline:
        follow_up.outline = outline
        source = form["outline_from"]
        follow_up.outline_from = source if source in OUTLINE_SOURCES else "drawn"
        follow_up.outline_confidence = _share(form["outline_confidence"]) if source != "drawn" else None


def _written(share: float | None) -> str:
    return "" if share is None else f"{share:g}"


def _share(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if 0 <= value <= 1 else None


def _marks_page(
    request: Request,
    rows: DatabaseSession,
    follow_up: FollowUp,
    form: Form,
    status: int = 200,
    offer: Offer | None = None,
    strip_says: str = "",
) -> HTMLResponse:
    stored = found(rows, PhotoFile, follow_up.photo_id)
    return page(
        request,
        "marks.html",
        status,
        form=form,
        photo={
            "image_url": f"/photos/{stored.id}/whole.jpg",
            "width": stored.width,
            "height": stored.height,
            "card_corners_json": form["card_corners"],
            "outline_json": form["outline"] if offer is None else json.dumps(offer.outline),
            "outline_offered": offer is not None,
            "outline_says": "" if offer is None else offer.says,
            "outline_from": form["outline_from"] if offer is None else offer.source,
            "outline_confidence": form["outline_confidence"] if offer is None else _written(offer.confidence),
            "proposal_url": f"/follow-ups/{follow_up.id}/proposal",
        },
        strip_says=strip_says,
        finished=measurement_of(rows, follow_up) is not None,
        cards=cards_on_shelf(rows),
        **surroundings(rows, follow_up),
    )
