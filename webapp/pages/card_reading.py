"""From what is marked on a photo of two cards to the new card's values."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from sqlmodel import Session as DatabaseSession

from webapp.pages.card_patches import patches_of
from webapp.pages.follow_up_entries import cards_on_shelf
from webapp.pages.marks_sent import photo_of
from webapp.pages.printed_strip import doubt_of, nominal_patches
from webapp.pages.studio import found
from webapp.photo.card import divide_strip, in_card_order
from webapp.photo.new_card import NewCard, read_new_card
from webapp.records.photo_files import PhotoFiles
from webapp.records.tables import Card, CardPhoto, PhotoFile


def read_marked(rows: DatabaseSession, files: PhotoFiles, begun: CardPhoto, max_pixels: int) -> NewCard:
    """Read the new card through the known one, by the marks stored. Raises MarkUnusable with a sentence."""
    photo = photo_of(files, found(rows, PhotoFile, begun.photo_id), max_pixels)
    known = found(rows, Card, begun.known_card_id)
    cells = divide_strip(np.array(begun.known_corners), len(known.patches))
    patches = patches_of(known, in_card_order(photo, cells, known.patches))
    new = divide_strip(np.array(begun.new_corners), begun.steps)
    if begun.printed_id:
        new = in_card_order(photo, new, nominal_patches(begun.printed_id))
    read = read_new_card(photo, patches, new)
    strips = [one for one in (known.printed_id, begun.printed_id) if one]
    # Two strips in one photo are looked for in vain: the search takes them for one that is in doubt.
    doubt = doubt_of(photo, strips[0], cards_on_shelf(rows)) if len(strips) == 1 else None
    return read if doubt is None else replace(read, quality=read.quality.with_reason(doubt))
