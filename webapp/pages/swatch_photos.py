"""Storing the photo of a swatch, which shows no person and so belongs to no client; and letting go of it."""

from __future__ import annotations

from datetime import UTC, date, datetime

from sqlmodel import Session as DatabaseSession
from sqlmodel import select

from webapp.pages.photo_store import PhotoRefused, store_with_photo
from webapp.pages.render import plain_day
from webapp.records import shelf_rows
from webapp.records.photo_files import PhotoFiles
from webapp.records.tables import Card, PhotoFile, Pigment, Swatch


def add_swatch(
    rows: DatabaseSession,
    files: PhotoFiles,
    pigment: Pigment,
    content: bytes,
    on: date | None,
    card: Card,
    note: str = "",
    max_pixels: int = 120_000_000,
) -> Swatch:
    """Store a photo and a swatch that shows it, still unmarked; `on` None means the day it was taken, else today.

    One photo may show smears of several pigments. The file is whole on the disk before the row that names it is
    committed. Raises PhotoUnreadable, PhotoRefused or DiskFull, having stored nothing.
    """
    return store_with_photo(
        rows,
        files,
        content,
        None,
        lambda stored: _refuse_duplicate(rows, stored, pigment),
        lambda photo_id, taken_on: Swatch(
            pigment_id=pigment.id or 0,
            photo_id=photo_id,
            card_id=card.id or 0,
            on_date=on or taken_on or date.today(),
            note=note,
            created_at=datetime.now(UTC),
        ),
        max_pixels,
    )


def _refuse_duplicate(rows: DatabaseSession, stored: PhotoFile, pigment: Pigment) -> None:
    if stored.client_id is not None:
        raise PhotoRefused(
            "This very photo is stored as a client's. A swatch wants a photo of its own that shows no person."
        )
    same = rows.exec(select(Swatch).where(Swatch.photo_id == stored.id, Swatch.pigment_id == pigment.id)).first()
    if same is not None:
        raise PhotoRefused(
            f"This very photo is already stored for this pigment, as the swatch of {plain_day(same.on_date)}. "
            "Choose another photo, or open that swatch."
        )


def delete_swatch(rows: DatabaseSession, files: PhotoFiles, swatch: Swatch) -> None:
    """Delete a swatch, and its photo where nothing else shows it."""
    photo = rows.get(PhotoFile, swatch.photo_id)
    rows.delete(swatch)
    rows.flush()
    if photo is not None:
        if shelf_rows.photo_shown(rows, photo.id or 0):
            files.drop_derived(photo.sha256, f"swatch-{swatch.id}-")
        else:
            rows.delete(photo)
            rows.flush()
            files.discard(photo.sha256)
    rows.commit()
