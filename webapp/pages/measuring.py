"""Storing a photo and measuring it: what the follow-up's pages and the demo do alike."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime

import numpy as np
from sqlmodel import Session as DatabaseSession
from sqlmodel import select

from webapp.pages.card_patches import patches_of
from webapp.pages.photo_store import PhotoRefused, store_with_photo
from webapp.pages.printed_strip import doubt_of, is_printed_strip
from webapp.pages.render import plain_day
from webapp.photo.measure import METHOD, Measurement, measure
from webapp.photo.polygon import MarkUnusable
from webapp.photo.preview import balanced_crop, counted_crop, original_crop
from webapp.photo.read import Photo
from webapp.records.photo_files import PhotoFiles
from webapp.records.queries import consent_in_force
from webapp.records.tables import Card, FollowUp, MeasurementRow, PhotoFile, Work

Points = Sequence[Sequence[float]]


def add_follow_up(
    rows: DatabaseSession,
    files: PhotoFiles,
    work: Work,
    content: bytes,
    on: date | None,
    card: Card,
    note: str = "",
    max_pixels: int = 120_000_000,
) -> FollowUp:
    """Store a photo and a follow-up that shows it, still unmarked; `on` None means the day it was taken.

    The file is whole on the disk before the row that names it is committed. Raises PhotoUnreadable,
    PhotoRefused or DiskFull, having stored nothing.
    """
    if consent_in_force(rows, work.client_id) is None:
        raise PhotoRefused(
            "There is no consent to photo storage on file for this client, so no photo may be stored. "
            "Record the consent on the client's page first."
        )
    return store_with_photo(
        rows,
        files,
        content,
        work.client_id,
        lambda stored: _refuse_duplicate(rows, stored, work),
        lambda photo_id, taken_on: FollowUp(
            work_id=work.id or 0,
            photo_id=photo_id,
            card_id=card.id or 0,
            on_date=on or taken_on or date.today(),
            note=note,
            created_at=datetime.now(UTC),
        ),
        max_pixels,
    )


def _refuse_duplicate(rows: DatabaseSession, stored: PhotoFile, work: Work) -> None:
    if stored.client_id is None:
        raise PhotoRefused("This very photo is already stored as one of a swatch or a card. Choose the client's photo.")
    if stored.client_id != work.client_id:
        raise PhotoRefused(
            "This very photo is already stored for another client. Check that it is the right photo and client."
        )
    same = rows.exec(select(FollowUp).where(FollowUp.photo_id == stored.id, FollowUp.work_id == work.id)).first()
    if same is not None:
        raise PhotoRefused(
            f"This very photo is already stored for this work, as the follow-up of {plain_day(same.on_date)}. "
            "Choose another photo, or open that follow-up."
        )


@dataclass(frozen=True)
class Marks:
    """What is marked on a photo: the corners of each card patch, and the outline, in pixels of the upright photo."""

    card_patches: Sequence[Points]
    outline: Points

    def measure(self, photo: Photo, card: Card, swatch: bool = False, cards: Sequence[Card] = ()) -> Measurement:
        """Measure a photo by these marks, a swatch flat. Raises MarkUnusable where they do not serve.

        `cards` are those registered: a strip in the photo that is another one's is told by its name.
        """
        if len(self.card_patches) != len(card.patches):
            raise MarkUnusable("The card is marked with another number of patches than it has. Mark the card again.")
        patches = patches_of(card, [np.asarray(corners, dtype=float) for corners in self.card_patches])
        measured = measure(photo, np.asarray(self.outline, dtype=float), patches, swatch)
        doubt = doubt_of(photo, card.printed_id, cards) if is_printed_strip(card) else None
        return measured if doubt is None else replace(measured, quality=measured.quality.with_reason(doubt))

    def digest(self, card: Card) -> str:
        """Give a short name for what these marks make of a photo with a card; pictures are stored under it."""
        told = json.dumps([METHOD, card.patches, self.card_patches, self.outline])
        return hashlib.sha256(told.encode()).hexdigest()[:16]


def keep_pictures(files: PhotoFiles, photo: PhotoFile, key: str, read: Photo, marks: Marks, made: Measurement) -> None:
    """Store the pictures that show what was measured."""
    outline = np.asarray(marks.outline, dtype=float)
    for name, picture in (
        ("original.jpg", original_crop(read, outline)),
        ("balanced.jpg", balanced_crop(read, outline, made.fit)),
        ("counted.png", counted_crop(read, outline, made.fit, made.region)),
    ):
        files.keep_derived(photo.sha256, f"{key}-{name}", picture)


def keep_measurement(rows: DatabaseSession, follow_up: FollowUp, marks: Marks, measured: Measurement) -> None:
    """Store a follow-up's marks and their measurement in place of earlier ones, in one commit."""
    assert follow_up.id is not None
    follow_up.card_patches = [[list(p) for p in corners] for corners in marks.card_patches]
    follow_up.outline = [list(p) for p in marks.outline]
    earlier = rows.exec(select(MeasurementRow).where(MeasurementRow.follow_up_id == follow_up.id)).first()
    if earlier is not None:
        rows.delete(earlier)
        rows.flush()
    skin = measured.skin
    rows.add(
        MeasurementRow(
            follow_up_id=follow_up.id,
            pigment_lab=measured.pigment.lab.tolist(),
            pigment_spread=measured.pigment.spread.tolist(),
            pigment_shared=measured.pigment.shared.tolist(),
            pigment_pixels=measured.pigment.pixels,
            outline_lab=measured.outline.lab.tolist(),
            outline_spread=measured.outline.spread.tolist(),
            outline_shared=measured.outline.shared.tolist(),
            skin_lab=None if skin is None else skin.lab.tolist(),
            skin_spread=None if skin is None else skin.spread.tolist(),
            skin_shared=None if skin is None else skin.shared.tolist(),
            skin_pixels=0 if skin is None else skin.pixels,
            grade=measured.quality.grade,
            reasons=[r.sentence for r in measured.quality.reasons],
            patches=measured.patches,
            residual=measured.residual,
            method=measured.method,
            measured_at=datetime.now(UTC),
        )
    )
    rows.commit()
