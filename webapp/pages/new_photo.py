"""The first step of a follow-up: the photo."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlalchemy.exc import OperationalError
from sqlmodel import Session as DatabaseSession
from starlette.datastructures import UploadFile

from webapp.pages.follow_up_entries import Answer, card_chosen, cards_on_shelf, day_entered
from webapp.pages.form import Form
from webapp.pages.measuring import add_follow_up
from webapp.pages.photo_store import PhotoRefused
from webapp.pages.render import page, plain_day
from webapp.pages.studio import Photos, Rows, SentForm, StudioSettings, found
from webapp.photo.read import Photo, PhotoUnreadable, read_photo
from webapp.records import queries
from webapp.records.photo_files import DiskFull
from webapp.records.tables import Client, Work

router = APIRouter()


@router.get("/works/{work_id}/follow-ups/new")
def new_follow_up(request: Request, rows: Rows, work_id: int) -> HTMLResponse:
    """Show the form that takes the photo; the card starts as the one that the work's last photo had."""
    work = found(rows, Work, work_id)
    last = queries.latest_marks(rows, work_id, 0)
    form = Form({} if last is None else {"card": str(last.card_id)})
    return _photo_page(request, rows, work, form)


@router.post("/works/{work_id}/follow-ups/new", response_model=None)
def take_photo(
    request: Request, rows: Rows, files: Photos, settings: StudioSettings, form: SentForm, work_id: int
) -> Answer:
    """Store the photo; marks come next."""
    work = found(rows, Work, work_id)
    card, on = card_chosen(form, rows), day_entered(form, rows, work_id, may_be_empty=True)
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
        cards=cards_on_shelf(rows),
    )


def _day_taken(form: Form, rows: DatabaseSession, work_id: int, photo: Photo) -> date | None:
    """Take the day from the photo itself, and judge it as if it had been typed."""
    if photo.taken is None:
        form.errors["on"] = "The photo does not say when it was taken. Give the date."
        return None
    stamped = Form({"on": photo.taken.date().isoformat()})
    day = day_entered(stamped, rows, work_id)
    if not stamped.sound:
        form.errors["on"] = (
            f"The photo says it was taken on {plain_day(photo.taken.date())}. {stamped.errors['on']} Give the date."
        )
    return day
