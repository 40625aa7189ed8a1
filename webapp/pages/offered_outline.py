"""The outline that a new photo starts from: carried over, proposed, or the last one as it lay; and how sure it is."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass

import numpy as np
from sqlmodel import Session as DatabaseSession

from webapp.pages.render import plain_day
from webapp.pages.studio import found
from webapp.photo.carry_over import CarriedOver, carry_over, find_landmarks
from webapp.photo.propose_outline import propose_outline
from webapp.photo.read import Photo, PhotoUnreadable, read_photo
from webapp.records import queries
from webapp.records.photo_files import PhotoFiles
from webapp.records.tables import FollowUp, PhotoFile, Work

Points = Sequence[Sequence[float]]
_MAKING = "1"
"""Goes into the name under which an offer is kept; another number makes all offers anew."""
_SURE = 0.6


@dataclass(frozen=True)
class Offer:
    """An outline to start from; `source` is a word of OUTLINE_SOURCES, `says` where it comes from and how sure."""

    outline: list[list[float]]
    source: str
    confidence: float | None
    says: str


def offer_outline(
    rows: DatabaseSession, files: PhotoFiles, follow_up: FollowUp, corners: Points, max_pixels: int
) -> Offer | None:
    """Give the outline that an unmarked follow-up is offered; None where nothing is found.

    First the last photo's, carried over; then one proposed from the photo alone, once the card's `corners` are
    known; then the last photo's as it lay. It is worked out once for the same photos and marks, and kept.
    """
    stored = found(rows, PhotoFile, follow_up.photo_id)
    site = found(rows, Work, follow_up.work_id).site
    last = queries.latest_marks(rows, follow_up.work_id, follow_up.id or 0)
    before = None if last is None else found(rows, PhotoFile, last.photo_id)
    told = [_MAKING, site, corners, last and [last.on_date.isoformat(), last.outline, last.card_patches]]
    digest = hashlib.sha256(json.dumps([*told, before and before.sha256]).encode()).hexdigest()[:16]
    name = f"{follow_up.id}-offer-{digest}.json"
    kept = files.derived_path(stored.sha256, name)
    try:
        known = json.loads(kept.read_bytes())
        return None if known is None else Offer(**known)
    except (OSError, ValueError, TypeError):
        pass
    try:
        photo = read_photo(files.content(stored.sha256), max_pixels)
    except (OSError, PhotoUnreadable):
        return None  # the page says elsewhere that the file is lost
    offer = None
    if last is not None and before is not None:
        offer = _carried(files, last, before, photo, corners, max_pixels)
    if offer is None and corners:
        offer = _proposed(photo, site, corners)
    if offer is None and last is not None and before is not None:
        offer = _as_it_lay(last, before, stored)
    files.keep_derived(stored.sha256, name, json.dumps(offer and asdict(offer)).encode())
    return offer


def _carried(
    files: PhotoFiles, last: FollowUp, before: PhotoFile, photo: Photo, corners: Points, max_pixels: int
) -> Offer | None:
    try:
        earlier = read_photo(files.content(before.sha256), max_pixels)
    except (OSError, PhotoUnreadable):
        return None
    cards = [np.asarray(patch, dtype=float) for patch in last.card_patches]
    card = [np.concatenate(cards)] if cards else []
    now = [np.asarray(corners, dtype=float)] if corners else []
    carried = carry_over(find_landmarks(earlier, card), np.asarray(last.outline), find_landmarks(photo, now))
    if carried is None:
        return None
    return Offer(carried.outline.tolist(), "carried over", round(1 - carried.within, 3), _says(carried, last))


def _says(carried: CarriedOver, last: FollowUp) -> str:
    per_cent = max(int(np.ceil(carried.within * 100)), 1)
    return (
        f"Carried over from {plain_day(last.on_date)}; likely within {per_cent} % of its length. "
        f"Check its {carried.weaker_end} end."
    )


def _proposed(photo: Photo, site: str, corners: Points) -> Offer | None:
    proposal = propose_outline(photo, site, [np.asarray(corners, dtype=float)])
    if proposal is None:
        return None
    sure = "Check it all the way round, faint ends above all."
    if proposal.confidence < _SURE:
        sure = "The work stands out little here, so it is no more than a start: correct it all the way round."
    says = f"Proposed from this photo alone. {sure}"
    return Offer(proposal.outline.tolist(), "proposed", round(proposal.confidence, 3), says)


def _as_it_lay(last: FollowUp, before: PhotoFile, now: PhotoFile) -> Offer:
    """Offer an outline where it lay in the last photo, which may have had another size."""
    across, down = now.width / before.width, now.height / before.height
    points = [[round(x * across, 1), round(y * down, 1)] for x, y in last.outline]
    says = (
        f"This outline lies as in the photo of {plain_day(last.on_date)}; the two photos could not be matched. "
        "Move it into place, then correct its points."
    )
    return Offer(points, "drawn", None, says)
