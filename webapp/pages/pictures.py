"""Pictures made from stored photos."""

from __future__ import annotations

import re
from typing import Literal

from fastapi import APIRouter, HTTPException
from fastapi.responses import Response

from webapp.pages.follow_up_entries import measurement_of
from webapp.pages.measuring import Marks, keep_pictures
from webapp.pages.studio import Photos, Rows, StudioSettings, found
from webapp.photo.polygon import MarkUnusable
from webapp.photo.preview import whole_picture
from webapp.photo.read import PhotoUnreadable, read_photo
from webapp.records.photo_files import PhotoFiles
from webapp.records.tables import Card, FollowUp, PhotoFile

router = APIRouter()
Name = Literal["original.jpg", "balanced.jpg", "counted.png"]
_TYPES = {"jpg": "image/jpeg", "png": "image/png"}


@router.get("/photos/{photo_id}/whole.jpg")
def whole(rows: Rows, files: Photos, settings: StudioSettings, photo_id: int) -> Response:
    """Give the whole photo, small enough for a screen."""
    stored = found(rows, PhotoFile, photo_id)
    path = files.derived_path(stored.sha256, "whole.jpg")
    if not path.exists():
        try:
            content = whole_picture(read_photo(files.content(stored.sha256), settings.max_pixels))
        except (OSError, PhotoUnreadable) as lost:
            raise HTTPException(410) from lost
        files.keep_derived(stored.sha256, "whole.jpg", content)
        return _picture(content, "jpg")
    return _picture(path.read_bytes(), "jpg")


@router.get("/follow-ups/{follow_up_id}/balanced.jpg")
def latest_picture(rows: Rows, files: Photos, settings: StudioSettings, follow_up_id: int) -> Response:
    """Give the balanced crop of a measured follow-up."""
    follow_up = found(rows, FollowUp, follow_up_id)
    if measurement_of(rows, follow_up) is None:
        raise HTTPException(404)
    marks = Marks(follow_up.card_patches, follow_up.outline)
    key = f"{follow_up_id}-{marks.digest(found(rows, Card, follow_up.card_id))}"
    return picture(rows, files, settings, follow_up_id, key, "balanced.jpg")


@router.get("/follow-ups/{follow_up_id}/pictures/{key}/{name}")
def picture(rows: Rows, files: Photos, settings: StudioSettings, follow_up_id: int, key: str, name: Name) -> Response:
    """Give a picture of what was measured; made anew where it is missing and belongs to the stored marks."""
    follow_up = found(rows, FollowUp, follow_up_id)
    stored = found(rows, PhotoFile, follow_up.photo_id)
    if not re.fullmatch(rf"{follow_up_id}-[0-9a-f]{{16}}", key):
        raise HTTPException(404)
    path = files.derived_path(stored.sha256, f"{key}-{name}")
    if not path.exists():
        _make(files, follow_up, stored, found(rows, Card, follow_up.card_id), key, settings.max_pixels)
    if not path.exists():
        raise HTTPException(404)
    return _picture(path.read_bytes(), name[-3:])


def _make(files: PhotoFiles, follow_up: FollowUp, stored: PhotoFile, card: Card, key: str, max_pixels: int) -> None:
    marks = Marks(follow_up.card_patches, follow_up.outline)
    if key != f"{follow_up.id}-{marks.digest(card)}":
        return
    try:
        photo = read_photo(files.content(stored.sha256), max_pixels)
        keep_pictures(files, stored, key, photo, marks, marks.measure(photo, card))
    except (OSError, PhotoUnreadable, MarkUnusable) as lost:
        raise HTTPException(410) from lost


def _picture(content: bytes, kind: str) -> Response:
    # The browser keeps no copy on the disk: once consent is withdrawn, none must be left.
    return Response(content, media_type=_TYPES[kind])
