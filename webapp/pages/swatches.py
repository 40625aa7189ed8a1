"""Swatches: a smear of a pigment beside the card, photographed, marked, measured flat."""

from __future__ import annotations

import json

import numpy as np
from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlalchemy.exc import OperationalError
from sqlmodel import Session as DatabaseSession
from starlette.datastructures import UploadFile

from webapp.colorimetry.measured import MeasuredColour
from webapp.pages.follow_up_entries import card_chosen, cards_on_shelf
from webapp.pages.form import Form
from webapp.pages.marks_sent import corners_round, photo_of, points_sent
from webapp.pages.measuring import Marks
from webapp.pages.photo_store import PhotoRefused
from webapp.pages.printed_strip import corners_found, is_printed_strip
from webapp.pages.render import page
from webapp.pages.studio import Photos, Rows, SentForm, StudioSettings, found
from webapp.pages.swatch_photos import add_swatch, delete_swatch
from webapp.photo.card import divide_strip, in_card_order
from webapp.photo.measure import Measurement
from webapp.photo.polygon import MarkUnusable
from webapp.photo.preview import balanced_crop
from webapp.photo.read import PhotoUnreadable
from webapp.records.photo_files import DiskFull
from webapp.records.tables import Card, PhotoFile, Pigment, Swatch

router = APIRouter()
Answer = HTMLResponse | RedirectResponse


@router.get("/pigments/{pigment_id}/swatches/new")
def new_swatch(request: Request, rows: Rows, pigment_id: int) -> HTMLResponse:
    """Show the form that takes the photo."""
    return _photo_page(request, rows, found(rows, Pigment, pigment_id), Form())


@router.post("/pigments/{pigment_id}/swatches/new", response_model=None)
def take_photo(
    request: Request, rows: Rows, files: Photos, settings: StudioSettings, form: SentForm, pigment_id: int
) -> Answer:
    """Store the photo; marks come next."""
    pigment = found(rows, Pigment, pigment_id)
    card, note = card_chosen(form, rows), form.text("note")
    on = form.day("on") if form["on"].strip() else None
    sent = form.entries.get("photo")
    if not isinstance(sent, UploadFile) or not sent.filename:
        form.errors["photo"] = "Choose a photo."
    elif form.sound and card is not None:
        try:
            swatch = add_swatch(rows, files, pigment, sent.file.read(), on, card, note, settings.max_pixels)
            return RedirectResponse(f"/swatches/{swatch.id}/marks", 303)
        except (PhotoUnreadable, PhotoRefused) as refusal:
            form.errors["photo"] = str(refusal)
        except (DiskFull, OperationalError):
            form.errors["photo"] = (
                "The photo could not be written: the disk is full or the data folder cannot be written to. "
                "Nothing of it was stored. Free some space, then send it again."
            )
    rows.rollback()
    return _photo_page(request, rows, found(rows, Pigment, pigment_id), form, 422)


@router.get("/swatches/{swatch_id}/marks")
def show_marks(request: Request, rows: Rows, files: Photos, settings: StudioSettings, swatch_id: int) -> HTMLResponse:
    """Show the photo with what is marked on it; a printed strip is looked for."""
    swatch = found(rows, Swatch, swatch_id)
    corners, strip_says = corners_round(swatch.card_patches), ""
    card = found(rows, Card, swatch.card_id)
    if not corners and is_printed_strip(card):
        photo = photo_of(files, found(rows, PhotoFile, swatch.photo_id), settings.max_pixels)
        corners, strip_says = corners_found(photo, card.printed_id, cards_on_shelf(rows))
    form = Form(
        {
            "card": str(swatch.card_id),
            "on": swatch.on_date.isoformat(),
            "note": swatch.note,
            "card_corners": json.dumps(corners) if corners else "",
            "outline": json.dumps(swatch.outline) if swatch.outline else "",
        }
    )
    return _marks_page(request, rows, swatch, form, strip_says=strip_says)


@router.post("/swatches/{swatch_id}/marks", response_model=None)
def measure_marks(
    request: Request, rows: Rows, files: Photos, settings: StudioSettings, form: SentForm, swatch_id: int
) -> Answer:
    """Measure by the marks that were sent, and store the colour with its uncertainty."""
    swatch = found(rows, Swatch, swatch_id)
    card, on, note = card_chosen(form, rows), form.day("on"), form.text("note")
    corners, outline = _marks_sent(form)
    _keep_draft(swatch, corners, outline)
    if card is None or not form.sound:
        rows.commit()
        return _marks_page(request, rows, swatch, form, 422)
    stored = found(rows, PhotoFile, swatch.photo_id)
    photo = photo_of(files, stored, settings.max_pixels)
    try:
        cells = divide_strip(np.array(corners), len(card.patches))
        ordered = in_card_order(photo, cells, card.patches)
        marks = Marks([c.tolist() for c in ordered], outline)
        made = marks.measure(photo, card, swatch=True, cards=cards_on_shelf(rows))
    except MarkUnusable as unusable:
        rows.commit()
        form.errors["outline" if "outline" in str(unusable).lower() else "card_corners"] = str(unusable)
        return _marks_page(request, rows, swatch, form, 422)
    swatch.card_id, swatch.on_date, swatch.note = card.id or 0, on, note
    _keep_measured(swatch, marks, made, photo.notes)
    rows.commit()
    files.drop_derived(stored.sha256, f"swatch-{swatch.id}-")
    key = f"swatch-{swatch.id}-{marks.digest(card)}.jpg"
    files.keep_derived(stored.sha256, key, balanced_crop(photo, np.asarray(outline, dtype=float), made.fit))
    return RedirectResponse(f"/swatches/{swatch.id}", 303)


@router.post("/swatches/{swatch_id}/draft")
def keep_draft(rows: Rows, form: SentForm, swatch_id: int) -> Response:
    """Keep the marks of an unmeasured swatch as they are made; what is no mark changes nothing."""
    swatch = found(rows, Swatch, swatch_id)
    _keep_draft(swatch, *_marks_sent(form))
    rows.commit()
    return Response(status_code=204)


@router.get("/swatches/{swatch_id}", response_model=None)
def show_swatch(request: Request, rows: Rows, swatch_id: int) -> Answer:
    """Show a measured swatch; an unmeasured one goes on where it was left."""
    swatch = found(rows, Swatch, swatch_id)
    colour = measured_swatch(swatch)
    if colour is None:
        return RedirectResponse(f"/swatches/{swatch_id}/marks", 303)
    pigment, card = found(rows, Pigment, swatch.pigment_id), found(rows, Card, swatch.card_id)
    return page(request, "swatch.html", swatch=swatch, pigment=pigment, colour=colour, card=card)


@router.get("/swatches/{swatch_id}/balanced.jpg")
def picture(rows: Rows, files: Photos, settings: StudioSettings, swatch_id: int) -> Response:
    """Give the balanced crop of a measured swatch, made anew where it is missing."""
    swatch = found(rows, Swatch, swatch_id)
    if swatch.lab is None:
        raise HTTPException(404)
    stored, card = found(rows, PhotoFile, swatch.photo_id), found(rows, Card, swatch.card_id)
    marks = Marks(swatch.card_patches, swatch.outline)
    name = f"swatch-{swatch.id}-{marks.digest(card)}.jpg"
    path = files.derived_path(stored.sha256, name)
    if path.exists():
        return Response(path.read_bytes(), media_type="image/jpeg")
    photo = photo_of(files, stored, settings.max_pixels)
    try:
        fit = marks.measure(photo, card, swatch=True).fit
    except MarkUnusable as lost:
        raise HTTPException(410) from lost
    content = balanced_crop(photo, np.asarray(marks.outline, dtype=float), fit)
    files.keep_derived(stored.sha256, name, content)
    return Response(content, media_type="image/jpeg")


@router.post("/swatches/{swatch_id}/delete")
def remove_swatch(rows: Rows, files: Photos, swatch_id: int) -> RedirectResponse:
    """Delete a swatch, and its photo where nothing else shows it."""
    swatch = found(rows, Swatch, swatch_id)
    pigment_id = swatch.pigment_id
    delete_swatch(rows, files, swatch)
    return RedirectResponse(f"/pigments/{pigment_id}#swatches", 303)


def measured_swatch(swatch: Swatch) -> MeasuredColour | None:
    """Give the stored colour, whose count of pixels is not kept; None of an unmeasured swatch."""
    if swatch.lab is None or swatch.spread is None or swatch.shared is None:
        return None
    return MeasuredColour(np.array(swatch.lab), np.array(swatch.spread), np.array(swatch.shared), 0)


def _marks_sent(form: Form) -> tuple[list[list[float]], list[list[float]]]:
    return points_sent(form, "card_corners", "the card's grey"), points_sent(form, "outline", "the smear")


def _keep_draft(swatch: Swatch, corners: list[list[float]], outline: list[list[float]]) -> None:
    """Keep marks of a swatch that has no measurement yet; a measured one changes only with the measurement."""
    if swatch.lab is None:
        swatch.outline = outline or swatch.outline
        swatch.card_patches = [corners] if corners else swatch.card_patches


def _keep_measured(swatch: Swatch, marks: Marks, made: Measurement, notes: tuple[str, ...]) -> None:
    swatch.card_patches = [[list(p) for p in corners] for corners in marks.card_patches]
    swatch.outline = [list(p) for p in marks.outline]
    swatch.lab = made.pigment.lab.tolist()
    swatch.spread, swatch.shared = made.pigment.spread.tolist(), made.pigment.shared.tolist()
    swatch.grade = made.quality.grade
    swatch.reasons = [r.sentence for r in made.quality.reasons] + list(notes)


def _photo_page(
    request: Request, rows: DatabaseSession, pigment: Pigment, form: Form, status: int = 200
) -> HTMLResponse:
    return page(request, "swatch_form.html", status, form=form, pigment=pigment, cards=cards_on_shelf(rows))


def _marks_page(
    request: Request, rows: DatabaseSession, swatch: Swatch, form: Form, status: int = 200, strip_says: str = ""
) -> HTMLResponse:
    stored = found(rows, PhotoFile, swatch.photo_id)
    return page(
        request,
        "swatch_marks.html",
        status,
        form=form,
        photo={
            "image_url": f"/photos/{stored.id}/whole.jpg",
            "width": stored.width,
            "height": stored.height,
            "card_corners_json": form["card_corners"],
            "outline_json": form["outline"],
            "outline_offered": False,
        },
        strip_says=strip_says,
        swatch=swatch,
        pigment=found(rows, Pigment, swatch.pigment_id),
        cards=cards_on_shelf(rows),
    )
