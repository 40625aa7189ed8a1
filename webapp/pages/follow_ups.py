"""A follow-up, step by step: the photo, the marks on it, what was measured, and the artist's word on it."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import numpy as np
from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlalchemy.exc import OperationalError
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, select
from starlette.datastructures import UploadFile

from webapp.colorimetry.density import density
from webapp.colorimetry.measured import MeasuredColour
from webapp.pages.form import Form
from webapp.pages.judgement import measured_pigment, measured_skin
from webapp.pages.measuring import Marks, PhotoRefused, add_follow_up, keep_measurement, keep_pictures
from webapp.pages.render import page
from webapp.pages.studio import Photos, Rows, SentForm, StudioSettings, found
from webapp.photo.card import divide_strip, in_card_order
from webapp.photo.polygon import MarkUnusable
from webapp.photo.read import Photo, PhotoUnreadable, read_photo, reduction_for
from webapp.records import queries
from webapp.records.photo_files import DiskFull, PhotoFiles
from webapp.records.tables import Card, Client, FollowUp, MeasurementRow, PhotoFile, Work

router = APIRouter()
Answer = HTMLResponse | RedirectResponse
_POINTS_AT_MOST = 2000
_FURTHEST = 1e6
"""No photo is so many pixels wide; what lies further out, or is no number at all, is no mark."""


@router.get("/works/{work_id}/follow-ups/new")
def new_follow_up(request: Request, rows: Rows, work_id: int) -> HTMLResponse:
    """Show the form that takes the photo; the card starts as the one that the work's last photo had."""
    last = queries.latest_marks(rows, work_id, 0)
    form = Form({} if last is None else {"card": str(last.card_id)})
    return _photo_page(request, rows, found(rows, Work, work_id), form)


@router.post("/works/{work_id}/follow-ups/new", response_model=None)
def take_photo(
    request: Request, rows: Rows, files: Photos, settings: StudioSettings, form: SentForm, work_id: int
) -> Answer:
    """Store the photo; marks come next."""
    work = found(rows, Work, work_id)
    card, on = _card(form, rows), _day(form, rows, work_id, may_be_empty=True)
    note = form.text("note")
    sent = form.entries.get("photo")
    if not isinstance(sent, UploadFile) or not sent.filename:
        form.errors["photo"] = "Choose a photo."
    elif form.sound and card is not None:
        try:
            content = sent.file.read()
            if on is None:
                on = _day_taken(form, rows, work_id, read_photo(content, settings.max_pixels))
            if form.sound:
                follow_up = add_follow_up(rows, files, work, content, on, card, note, settings.max_pixels)
                return RedirectResponse(f"/follow-ups/{follow_up.id}/marks", 303)
        except (PhotoUnreadable, PhotoRefused) as refusal:
            form.errors["photo"] = str(refusal)
        except (DiskFull, OperationalError):
            form.errors["photo"] = (
                "The photo could not be written: the disk is full or the data folder cannot be written to. "
                "Nothing of it was stored. Free some space, then send it again."
            )
    rows.rollback()
    return _photo_page(request, rows, found(rows, Work, work_id), form, 422)


@router.get("/follow-ups/{follow_up_id}/marks")
def show_marks(request: Request, rows: Rows, follow_up_id: int) -> HTMLResponse:
    """Show the photo with what is marked on it; a new one is offered the outline of the work's last."""
    follow_up = found(rows, FollowUp, follow_up_id)
    form = Form(
        {
            "card": str(follow_up.card_id),
            "on": follow_up.on_date.isoformat(),
            "note": follow_up.note,
            "card_corners": json.dumps(_strip(follow_up.card_patches)) if follow_up.card_patches else "",
            "outline": json.dumps(follow_up.outline) if follow_up.outline else "",
        }
    )
    return _marks_page(request, rows, follow_up, form)


@router.post("/follow-ups/{follow_up_id}/marks", response_model=None)
def review_marks(
    request: Request, rows: Rows, files: Photos, settings: StudioSettings, form: SentForm, follow_up_id: int
) -> Answer:
    """Measure by the marks that were sent and show the result; save it where that was asked for.

    What was entered for a follow-up that has no measurement yet is kept at once, so that closing the browser
    loses nothing; a measured one changes only with the measurement.
    """
    follow_up = found(rows, FollowUp, follow_up_id)
    card, on, note = _card(form, rows), _day(form, rows, follow_up.work_id), form.text("note")
    corners, outline = _points(form, "card_corners"), _points(form, "outline")
    if _measurement(rows, follow_up) is None:
        follow_up.outline = outline or follow_up.outline
        follow_up.card_patches = [corners] if corners else follow_up.card_patches
        if card is not None and on is not None and not {"on", "note"} & form.errors.keys():
            follow_up.card_id, follow_up.on_date, follow_up.note = card.id or 0, on, note
        rows.commit()
    if form["back"] or not form.sound or card is None or on is None:
        return _marks_page(request, rows, follow_up, form, 200 if form["back"] else 422)

    stored = found(rows, PhotoFile, follow_up.photo_id)
    try:
        photo = _read(files, stored, settings.max_pixels, reduction_for(np.array(outline)))
        cells = divide_strip(np.array(corners), len(card.patches))
        ordered = in_card_order(photo, cells, card.patches)
        marks = Marks([c.tolist() for c in ordered], outline)
        made = marks.measure(photo, card)
    except MarkUnusable as unusable:
        form.errors["outline" if "outline" in str(unusable).lower() else "card_corners"] = str(unusable)
        return _marks_page(request, rows, follow_up, form, 422)
    key = f"{follow_up.id}-{marks.digest(card)}"
    keep_pictures(files, stored, key, photo, marks, made)
    if form["save"]:
        follow_up.card_id, follow_up.on_date, follow_up.note = card.id or 0, on, note
        keep_measurement(rows, follow_up, marks, made)
        files.drop_derived(stored.sha256, f"{follow_up.id}-", keep=key)
        return RedirectResponse(f"/works/{follow_up.work_id}#photo-{follow_up.id}", 303)
    return page(
        request,
        "review.html",
        form=form,
        pigment=made.pigment,
        skin=made.skin,
        density=_density(made.pigment, made.skin),
        grade=made.quality.grade,
        reasons=[r.sentence for r in made.quality.reasons] + list(photo.notes),
        method=made.method,
        patches=made.patches,
        residual=made.residual,
        key=key,
        card=card,
        **_surroundings(rows, follow_up),
    )


@router.get("/follow-ups/{follow_up_id}", response_model=None)
def show_follow_up(request: Request, rows: Rows, follow_up_id: int) -> Answer:
    """Show a measured follow-up; an unfinished one goes on where it was left."""
    follow_up = found(rows, FollowUp, follow_up_id)
    row = _measurement(rows, follow_up)
    if row is None:
        return RedirectResponse(f"/follow-ups/{follow_up_id}/marks", 303)
    return _saved_page(request, rows, follow_up, row, Form({"because": follow_up.taken_in_because}))


@router.post("/follow-ups/{follow_up_id}/take-in", response_model=None)
def take_in(request: Request, rows: Rows, form: SentForm, follow_up_id: int) -> Answer:
    """Take a photo that was graded "retake" into the trend, with a reason, or leave it out again."""
    follow_up = found(rows, FollowUp, follow_up_id)
    row = _measurement(rows, follow_up)
    if row is None:
        raise HTTPException(404)
    because = "" if form["leave_out"] else form.text("because", "Give the reason why this photo may be trusted.")
    if not form.sound:
        return _saved_page(request, rows, follow_up, row, form, 422)
    follow_up.taken_in_because = because
    rows.commit()
    return RedirectResponse(f"/follow-ups/{follow_up_id}", 303)


@router.post("/follow-ups/{follow_up_id}/delete")
def delete_follow_up(rows: Rows, files: Photos, follow_up_id: int) -> RedirectResponse:
    """Delete a follow-up, and its photo where no other work is on it."""
    follow_up = found(rows, FollowUp, follow_up_id)
    work_id, photo = follow_up.work_id, found(rows, PhotoFile, follow_up.photo_id)
    rows.delete(follow_up)
    rows.flush()
    if queries.photo_in_use(rows, photo.id or 0):
        files.drop_derived(photo.sha256, f"{follow_up_id}-")
    else:
        rows.delete(photo)
        rows.flush()
        files.discard(photo.sha256)  # before the commit, for the reason given in clients.withdraw
    rows.commit()
    return RedirectResponse(f"/works/{work_id}", 303)


def _photo_page(request: Request, rows: DatabaseSession, work: Work, form: Form, status: int = 200) -> HTMLResponse:
    return page(
        request,
        "photo_form.html",
        status,
        form=form,
        work=work,
        client=found(rows, Client, work.client_id),
        consent=queries.consent_in_force(rows, work.client_id),
        first_session=queries.first_session_day(rows, work.id or 0),
        cards=_cards(rows),
    )


def _marks_page(
    request: Request, rows: DatabaseSession, follow_up: FollowUp, form: Form, status: int = 200
) -> HTMLResponse:
    offered = None
    if not form["outline"] and not follow_up.outline and status == 200:
        offered = queries.latest_marks(rows, follow_up.work_id, follow_up.id or 0)
    stored = found(rows, PhotoFile, follow_up.photo_id)
    outline = form["outline"]
    if offered is not None:
        outline = json.dumps(_fitted(rows, offered, stored))
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
            "outline_json": outline,
            "outline_offered": offered is not None,
        },
        finished=_measurement(rows, follow_up) is not None,
        cards=_cards(rows),
        **_surroundings(rows, follow_up),
    )


def _saved_page(
    request: Request, rows: DatabaseSession, follow_up: FollowUp, row: MeasurementRow, form: Form, status: int = 200
) -> HTMLResponse:
    card = found(rows, Card, follow_up.card_id)
    marks = Marks(follow_up.card_patches, follow_up.outline)
    pigment, skin = measured_pigment(row), measured_skin(row)
    return page(
        request,
        "follow_up.html",
        status,
        form=form,
        pigment=pigment,
        skin=skin,
        density=_density(pigment, skin),
        grade=row.grade,
        reasons=row.reasons,
        method=row.method,
        patches=row.patches,
        residual=row.residual,
        key=f"{follow_up.id}-{marks.digest(card)}",
        card=card,
        **_surroundings(rows, follow_up),
    )


def _surroundings(rows: DatabaseSession, follow_up: FollowUp) -> dict[str, Any]:
    work = found(rows, Work, follow_up.work_id)
    return {"follow_up": follow_up, "work": work, "client": found(rows, Client, work.client_id)}


def _density(pigment: MeasuredColour, skin: MeasuredColour | None) -> float | None:
    return None if skin is None else float(density(pigment.lab, skin.lab))


def _measurement(rows: DatabaseSession, follow_up: FollowUp) -> MeasurementRow | None:
    return rows.exec(select(MeasurementRow).where(MeasurementRow.follow_up_id == follow_up.id)).first()


def _read(files: PhotoFiles, stored: PhotoFile, max_pixels: int, reduction: int) -> Photo:
    try:
        return read_photo(files.content(stored.sha256), max_pixels, reduction)
    except (OSError, PhotoUnreadable) as lost:
        raise HTTPException(410, "The photo's file is missing from the data folder or damaged.") from lost


def _cards(rows: DatabaseSession) -> list[Card]:
    return list(rows.exec(select(Card).order_by(col(Card.id))))


def _card(form: Form, rows: DatabaseSession) -> Card | None:
    cards = {str(c.id): c for c in _cards(rows)}
    return cards.get(form.choice("card", list(cards)))


def _day(form: Form, rows: DatabaseSession, work_id: int, may_be_empty: bool = False) -> date | None:
    first = queries.first_session_day(rows, work_id)
    if first is None:
        form.errors["on"] = "Enter the session first: drift is counted from the day the pigment went in."
        return None
    if may_be_empty and not form["on"].strip():
        return None
    return form.day("on", first, f"This is before the work's first session, on {first.isoformat()}.")


def _day_taken(form: Form, rows: DatabaseSession, work_id: int, photo: Photo) -> date | None:
    """Take the day from the photo itself, and judge it as if it had been typed."""
    if photo.taken is None:
        form.errors["on"] = "The photo does not say when it was taken. Give the date."
        return None
    stamped = Form({"on": photo.taken.date().isoformat()})
    day = _day(stamped, rows, work_id)
    if not stamped.sound:
        form.errors["on"] = (
            f"The photo says it was taken on {photo.taken.date().isoformat()}. {stamped.errors['on']} Give the date."
        )
    return day


def _points(form: Form, name: str) -> list[list[float]]:
    """Read points sent as JSON; an error where there are none or they are no points."""
    what = "the card's grey" if name == "card_corners" else "the work"
    if not form[name].strip():
        form.errors[name] = f"Nothing is marked yet: mark {what}."
        return []
    try:
        points = [[float(x), float(y)] for x, y in json.loads(form[name])]
    except (ValueError, TypeError, OverflowError, RecursionError):
        points = []
    known = len(points) <= _POINTS_AT_MOST and np.all(np.abs(points) <= _FURTHEST)
    if not points or not known or (name == "card_corners" and len(points) != 4):
        form.errors[name] = f"The marks were not understood. Mark {what} again."
        return []
    return points


def _strip(patches: list[list[list[float]]]) -> list[list[float]]:
    """Give the four corners round all patches of a strip."""
    if len(patches) == 1:
        return patches[0]
    if patches[0][0] == patches[1][1]:  # the strip lay the other way round, so its patches were turned
        patches = patches[::-1]
    first, last = patches[0], patches[-1]
    return [first[0], last[1], last[2], first[3]]


def _fitted(rows: DatabaseSession, offered: FollowUp, photo: PhotoFile) -> list[list[float]]:
    """Carry an outline from one photo over to another of perhaps another size."""
    source = found(rows, PhotoFile, offered.photo_id)
    across, down = photo.width / source.width, photo.height / source.height
    return [[round(x * across, 1), round(y * down, 1)] for x, y in offered.outline]
