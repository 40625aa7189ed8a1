"""Storing the photo of a new card beside a known one, which shows no person; and letting go of it."""

from __future__ import annotations

from datetime import date

from sqlmodel import Session as DatabaseSession

from webapp.pages.photo_store import PhotoRefused, store_with_photo
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

    def refuse(stored: PhotoFile) -> None:
        if stored.client_id is not None:
            raise PhotoRefused("This very photo is stored as a client's. Photograph the two cards by themselves.")

    def show(photo_id: int, _taken_on: date | None) -> CardPhoto:
        begun.photo_id = photo_id
        return begun

    return store_with_photo(rows, files, content, None, refuse, show, max_pixels)


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
