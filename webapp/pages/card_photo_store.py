"""Storing the photo of a new card beside a known one, which shows no person; and letting go of it."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime

from sqlalchemy.exc import SQLAlchemyError
from sqlmodel import Session as DatabaseSession
from sqlmodel import select

from webapp.pages.measuring import PhotoRefused
from webapp.photo.read import read_photo
from webapp.photo.whereabouts import without_whereabouts
from webapp.records import shelf_rows
from webapp.records.photo_files import PhotoFiles
from webapp.records.tables import CardPhoto, PhotoFile


def add_card_photo(
    rows: DatabaseSession, files: PhotoFiles, begun: CardPhoto, content: bytes, max_pixels: int
) -> CardPhoto:
    """Store a photo, and the new card that it is to give values to, still unmarked.

    The file is whole on the disk before the row that names it is committed. Raises PhotoUnreadable, PhotoRefused or
    DiskFull, having stored nothing.
    """
    photo = read_photo(content, max_pixels)
    content = without_whereabouts(content)
    sha256 = hashlib.sha256(content).hexdigest()
    stored = rows.exec(select(PhotoFile).where(PhotoFile.sha256 == sha256)).first()
    if stored is not None and stored.client_id is not None:
        raise PhotoRefused("This very photo is stored as a client's. Photograph the two cards by themselves.")
    files.keep(content)
    try:
        if stored is None:
            taken = photo.taken.date() if photo.taken else None
            now = datetime.now(UTC)
            stored = PhotoFile(
                sha256=sha256,
                size=len(content),
                width=photo.width,
                height=photo.height,
                taken_on=None if taken is None or taken > now.date() else taken,
                stored_at=now,
            )
            rows.add(stored)
            rows.flush()
        begun.photo_id = stored.id or 0
        rows.add(begun)
        rows.commit()
        files.settle(sha256)
    except SQLAlchemyError:
        rows.rollback()
        if rows.exec(select(PhotoFile).where(PhotoFile.sha256 == sha256)).first() is None:
            files.discard(sha256)
        raise
    return begun


def delete_card_photo(rows: DatabaseSession, files: PhotoFiles, begun: CardPhoto) -> None:
    """Delete a new card that was not kept, and its photo where nothing else shows it."""
    photo = rows.get(PhotoFile, begun.photo_id)
    rows.delete(begun)
    rows.flush()
    if photo is not None and not shelf_rows.photo_shown(rows, photo.id or 0):
        rows.delete(photo)
        rows.flush()
        files.discard(photo.sha256)
    rows.commit()
