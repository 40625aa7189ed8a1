"""Marks on a photo as a form sends them, and as they are shown again."""

from __future__ import annotations

import json
from collections.abc import Sequence

import numpy as np
from fastapi import HTTPException

from webapp.pages.form import Form
from webapp.photo.read import Photo, PhotoUnreadable, read_photo
from webapp.records.photo_files import PhotoFiles
from webapp.records.tables import PhotoFile

POINTS_AT_MOST = 2000
_FURTHEST = 1e6
"""No photo is so many pixels wide; what lies further out, or is no number at all, is no mark."""


def points_sent(form: Form, name: str, what: str) -> list[list[float]]:
    """Read points sent as JSON; an error where there are none or they are no points. `what` is to be marked."""
    if not form[name].strip():
        form.errors[name] = f"Nothing is marked yet: mark {what}."
        return []
    try:
        points = [[float(x), float(y)] for x, y in json.loads(form[name])]
    except (ValueError, TypeError, OverflowError, RecursionError):
        points = []
    known = len(points) <= POINTS_AT_MOST and np.all(np.abs(points) <= _FURTHEST)
    if not points or not known or (name == "card_corners" and len(points) != 4):
        form.errors[name] = f"The marks were not understood. Mark {what} again."
        return []
    return points


def corners_round(patches: Sequence[Sequence[Sequence[float]]]) -> list[list[float]]:
    """Give the four corners round all patches of a strip; none where nothing is marked."""
    if not patches:
        return []
    if len(patches) > 1 and list(patches[0][0]) == list(patches[1][1]):
        patches = patches[::-1]  # the strip lay the other way round, so its patches were turned
    first, last = patches[0], patches[-1]
    return [list(p) for p in (first[0], last[1], last[2], first[3])]


def photo_of(files: PhotoFiles, stored: PhotoFile, max_pixels: int) -> Photo:
    """Read a stored photo; answers that it is gone where it is missing or damaged."""
    try:
        return read_photo(files.content(stored.sha256), max_pixels)
    except (OSError, PhotoUnreadable) as lost:
        raise HTTPException(410, "The photo's file is missing from the data folder or damaged.") from lost
