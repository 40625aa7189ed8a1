"""The photos of an import come in one by one, each stored and struck off the list in one transaction."""

from __future__ import annotations

from fastapi import APIRouter, HTTPException
from fastapi.responses import JSONResponse
from sqlalchemy.exc import OperationalError
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, select
from starlette.datastructures import UploadFile

from webapp.pages.follow_up_entries import day_entered
from webapp.pages.form import Form
from webapp.pages.import_rows import work_at
from webapp.pages.measuring import add_follow_up
from webapp.pages.photo_store import PhotoRefused
from webapp.pages.studio import Photos, Rows, SentForm, StudioSettings, found
from webapp.photo.read import PhotoUnreadable
from webapp.records.photo_files import DiskFull
from webapp.records.tables import Card, PhotoImport, PhotoImportItem
from webapp.records.words import DONE, FAILED, READY
from webapp.settings import Settings

router = APIRouter()
STOP = "stop"
"""The answer's state where nothing is wrong with the photo, but none can be stored now."""


@router.get("/imports/{import_id}/waiting")
def waiting(rows: Rows, import_id: int) -> JSONResponse:
    """Give the photos that are checked and not stored yet: number, name in the folder, bytes."""
    found(rows, PhotoImport, import_id)
    wanted = select(PhotoImportItem).where(PhotoImportItem.import_id == import_id, PhotoImportItem.state == READY)
    lines = rows.exec(wanted.order_by(col(PhotoImportItem.path))).all()
    return JSONResponse([{"id": line.id, "path": line.path, "size": line.size} for line in lines])


@router.post("/imports/{import_id}/photos/{item_id}")
def bring_in_photo(
    rows: Rows, files: Photos, settings: StudioSettings, form: SentForm, import_id: int, item_id: int
) -> JSONResponse:
    """Store one photo as a follow-up still unmarked; a photo that was struck off before is not stored again."""
    line, sent = found(rows, PhotoImportItem, item_id), form.entries.get("photo")
    if line.import_id != import_id:
        raise HTTPException(404)
    if line.state != READY:
        return JSONResponse({"state": line.state, "sentence": line.sentence})
    if not isinstance(sent, UploadFile):
        raise HTTPException(400)
    try:
        _store(rows, files, settings, line, sent.file.read())
    except (PhotoRefused, PhotoUnreadable) as refusal:
        rows.rollback()
        line = found(rows, PhotoImportItem, item_id)
        line.state, line.sentence = FAILED, str(refusal)
        rows.commit()
    except (DiskFull, OperationalError):
        sentence = (
            "The photo could not be written: the disk is full or the data folder cannot be written to. "
            "Free some space, then go on; what is stored stays."
        )
        return JSONResponse({"state": STOP, "sentence": sentence})
    return JSONResponse({"state": line.state, "sentence": line.sentence})


def _store(rows: DatabaseSession, files: Photos, settings: Settings, line: PhotoImportItem, content: bytes) -> None:
    if len(content) != line.size:
        raise PhotoRefused("The file has changed since the list was made. Import the folder anew to take it in.")
    work, card = work_at(rows, line.client_id, line.site), rows.get(Card, line.card_id or 0)
    if work is None or card is None:
        raise PhotoRefused("The client, the work or the card was deleted since the list was made. Correct the line.")
    entered = Form({"on": line.on_date.isoformat() if line.on_date else ""})
    day = day_entered(entered, rows, work.id or 0)
    if not entered.sound:
        raise PhotoRefused(entered.errors["on"])
    line.state, line.sentence = DONE, ""  # kept by the very commit that keeps the follow-up
    add_follow_up(rows, files, work, content, day, card, max_pixels=settings.max_pixels)
