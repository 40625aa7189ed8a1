"""A new card's values from one photo beside a known card: the form that takes the photo, and what came out."""

from __future__ import annotations

from datetime import UTC, datetime

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlalchemy.exc import OperationalError
from sqlmodel import Session as DatabaseSession
from starlette.datastructures import UploadFile

from webapp.pages.card_entries import STEPS_AT_MOST, card_name, kind_and_id
from webapp.pages.card_photo_store import add_card_photo, delete_card_photo
from webapp.pages.card_reading import read_marked
from webapp.pages.follow_up_entries import Answer, cards_on_shelf
from webapp.pages.form import Form
from webapp.pages.photo_store import PhotoRefused
from webapp.pages.render import page
from webapp.pages.studio import Photos, Rows, SentForm, StudioSettings, found
from webapp.photo.new_card import NewCard
from webapp.photo.polygon import MarkUnusable
from webapp.photo.printed_card import LIGHTNESS
from webapp.photo.read import PhotoUnreadable
from webapp.records import queries
from webapp.records.photo_files import DiskFull
from webapp.records.tables import Card, CardPhoto
from webapp.records.words import BESIDE_KNOWN_CARD, CARD_KINDS, GREY_CARD, PRINTED_STRIP

router = APIRouter()


@router.get("/cards/from-photo")
def new_card_photo(request: Request, rows: Rows, like: int = 0) -> HTMLResponse:
    """Show the form that takes the photo; `like` is a card whose values are only assumed yet."""
    card = rows.get(Card, like)
    if card is None:
        return _form_page(request, rows, Form())
    start = {"name": f"{card.name}, measured", "kind": card.kind, "printed_id": card.printed_id}
    return _form_page(request, rows, Form(start | {"steps": str(len(card.patches))}))


@router.post("/cards/from-photo", response_model=None)
def take_photo(request: Request, rows: Rows, files: Photos, settings: StudioSettings, form: SentForm) -> Answer:
    """Store the photo with what the new card is; marks come next."""
    name, note = card_name(form, rows), form.text("note")
    kind, printed_id = kind_and_id(form)
    steps = _steps(form, kind)
    known = _known_card(form, rows)
    sent = form.entries.get("photo")
    if not isinstance(sent, UploadFile) or not sent.filename:
        form.errors["photo"] = "Choose a photo."
    elif form.sound and known is not None:
        begun = CardPhoto(
            photo_id=0,
            known_card_id=known.id or 0,
            name=name,
            kind=kind,
            printed_id=printed_id,
            note=note,
            steps=steps,
            created_at=datetime.now(UTC),
        )
        try:
            add_card_photo(rows, files, begun, sent.file.read(), settings.max_pixels)
            return RedirectResponse(f"/card-photos/{begun.id}/marks/known", 303)
        except (PhotoUnreadable, PhotoRefused) as refusal:
            form.errors["photo"] = str(refusal)
        except (DiskFull, OperationalError):
            form.errors["photo"] = (
                "The photo could not be written: the disk is full or the data folder cannot be written to. "
                "Nothing of it was stored. Free some space, then send it again."
            )
    rows.rollback()
    return _form_page(request, rows, form, 422)


@router.get("/card-photos/{card_photo_id}", response_model=None)
def show_values(request: Request, rows: Rows, files: Photos, settings: StudioSettings, card_photo_id: int) -> Answer:
    """Show what came out, before anything is kept; unfinished marks are gone on with."""
    begun = found(rows, CardPhoto, card_photo_id)
    for which, corners in (("known", begun.known_corners), ("new", begun.new_corners)):
        if not corners:
            return RedirectResponse(f"/card-photos/{begun.id}/marks/{which}", 303)
    try:
        read = read_marked(rows, files, begun, settings.max_pixels)
    except MarkUnusable as unusable:
        return _values_page(request, rows, begun, None, Form(), str(unusable), 422)
    return _values_page(request, rows, begun, read, Form())


@router.post("/card-photos/{card_photo_id}", response_model=None)
def keep_values(
    request: Request, rows: Rows, files: Photos, settings: StudioSettings, form: SentForm, card_photo_id: int
) -> Answer:
    """Keep what came out as a card of its own; refused where the photo is one to take again."""
    begun = found(rows, CardPhoto, card_photo_id)
    if begun.card_id is not None:
        return RedirectResponse("/cards", 303)
    try:
        read = read_marked(rows, files, begun, settings.max_pixels)
    except MarkUnusable as unusable:
        return _values_page(request, rows, begun, None, form, str(unusable), 422)
    if read.quality.grade == "retake":
        return _values_page(request, rows, begun, read, form, status=422)
    if queries.card_called(rows, begun.name) is not None:
        begun.name = form.text("name", "Give the card a name that tells it from the others.", longest=120)
        if form.sound and queries.card_called(rows, begun.name) is not None:
            form.errors["name"] = f"A card named “{begun.name}” is already here. Give this one another name."
        if not form.sound:
            rows.rollback()
            return _values_page(request, rows, found(rows, CardPhoto, card_photo_id), read, form, status=422)
    card = Card(
        name=begun.name,
        kind=begun.kind,
        printed_id=begun.printed_id,
        patches=[[round(float(v), 2) for v in p.lab] for p in read.patches],
        patch_sd=[[round(float(v), 2) for v in p.sd] for p in read.patches],
        values_known=True,
        values_from=BESIDE_KNOWN_CARD,
        note=begun.note,
    )
    rows.add(card)
    rows.flush()
    begun.card_id = card.id
    rows.commit()
    return RedirectResponse(f"/cards#card-{card.id}", 303)


@router.post("/card-photos/{card_photo_id}/delete")
def remove(rows: Rows, files: Photos, card_photo_id: int) -> RedirectResponse:
    """Let go of a photo whose values were not kept; a kept card's stays, as its evidence."""
    begun = found(rows, CardPhoto, card_photo_id)
    if begun.card_id is None:
        delete_card_photo(rows, files, begun)
    return RedirectResponse("/cards", 303)


def _steps(form: Form, kind: str) -> int:
    """Give how many patches the new card has: typed for a step card, else told by its kind."""
    if kind in (GREY_CARD, PRINTED_STRIP):
        return 1 if kind == GREY_CARD else len(LIGHTNESS)
    told = form["steps"].strip()
    if told.isdecimal() and 2 <= int(told) <= STEPS_AT_MOST:
        return int(told)
    if kind:
        form.errors["steps"] = f"Say how many steps the card has: a whole number from 2 to {STEPS_AT_MOST}."
    return 0


def _known_card(form: Form, rows: DatabaseSession) -> Card | None:
    cards = {str(c.id): c for c in cards_on_shelf(rows)}
    card = cards.get(form.choice("known_card", list(cards)))
    if card is not None and not card.values_known:
        form.errors["known_card"] = (
            f"The values of “{card.name}” are only assumed, so nothing true can be read through it. Choose a card "
            "whose values are known, or register one with the values of its maker's sheet first."
        )
        return None
    return card


def _form_page(request: Request, rows: DatabaseSession, form: Form, status: int = 200) -> HTMLResponse:
    cards = cards_on_shelf(rows)
    return page(
        request,
        "card_photo_form.html",
        status,
        form=form,
        kinds=CARD_KINDS,
        known=[(c.id, c.name) for c in cards if c.values_known],
    )


def _values_page(
    request: Request,
    rows: DatabaseSession,
    begun: CardPhoto,
    read: NewCard | None,
    form: Form,
    wrong: str = "",
    status: int = 200,
) -> HTMLResponse:
    return page(
        request,
        "card_photo_values.html",
        status,
        form=form,
        begun=begun,
        read=read,
        wrong=wrong,
        name_taken=begun.card_id is None and queries.card_called(rows, begun.name) is not None,
        known=found(rows, Card, begun.known_card_id),
    )
