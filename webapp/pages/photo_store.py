"""Storing a photo together with the row that shows it: both, or neither."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import TypeVar

from sqlalchemy.exc import SQLAlchemyError
from sqlmodel import Session as DatabaseSession
from sqlmodel import SQLModel, col, select

from webapp.photo.read import read_photo
from webapp.photo.whereabouts import without_whereabouts
from webapp.records.photo_files import PhotoFiles
from webapp.records.tables import PhotoFile

Row = TypeVar("Row", bound=SQLModel)


class PhotoRefused(ValueError):
    """The photo was read but may not be stored; the message is a sentence for the artist."""


def store_with_photo(
    rows: DatabaseSession,
    files: PhotoFiles,
    content: bytes,
    client_id: int | None,
    refuse: Callable[[PhotoFile], None],
    row_of: Callable[[int, date | None], Row],
    max_pixels: int,
) -> Row:
    """Store a photo, cleaned, and the row that `row_of` makes of the photo's id and the day it was taken.

    A photo that is there already is shown once more, unless `refuse` raises for it. The file is whole on the disk
    before the row that names it is committed. Raises PhotoUnreadable, DiskFull, or what `refuse` raises, having
    stored nothing.
    """
    photo = read_photo(content, max_pixels)
    taken_on = photo.taken.date() if photo.taken and photo.taken.date() <= date.today() else None
    as_sent = hashlib.sha256(content).hexdigest()  # photos of the first version lie as they were sent
    content = without_whereabouts(content)
    sha256 = hashlib.sha256(content).hexdigest()
    stored = rows.exec(select(PhotoFile).where(col(PhotoFile.sha256).in_((sha256, as_sent)))).first()
    if stored is not None:
        refuse(stored)
        sha256 = stored.sha256
    else:
        files.keep(content)
    try:
        if stored is None:
            stored = PhotoFile(
                client_id=client_id,
                sha256=sha256,
                size=len(content),
                width=photo.width,
                height=photo.height,
                taken_on=taken_on,
                stored_at=datetime.now(UTC),
            )
            rows.add(stored)
            rows.flush()
        row = row_of(stored.id or 0, taken_on)
        rows.add(row)
        rows.commit()
        files.settle(sha256)
    except SQLAlchemyError:
        # The row did not come about, so a file that no row names must not stay behind.
        rows.rollback()
        if rows.exec(select(PhotoFile).where(PhotoFile.sha256 == sha256)).first() is None:
            files.discard(sha256)
        raise
    return row
