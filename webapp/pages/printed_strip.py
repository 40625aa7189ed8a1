"""The printed strip among the studio's cards: put there by a button, and found in a photo without marks."""

from __future__ import annotations

import numpy as np

from webapp.photo.card_search import CardRefused, Why, find_card
from webapp.photo.printed_card import STUDIO_ID, printed_card
from webapp.photo.quality import Reason
from webapp.photo.read import Photo
from webapp.records.tables import Card

_SPOILS_COLOUR: tuple[Why, ...] = ("another card", "steps covered")
"""What makes the greys themselves wrong; the other refusals leave them readable, if they are marked with care."""
NAME = f"Printed strip {STUDIO_ID}"


def new_strip() -> Card:
    """Give the studio's printed strip as a card, with the greys that it was drawn with."""
    return Card(
        name=NAME,
        patches=[[round(float(v), 2) for v in step.lab] for step in printed_card(STUDIO_ID).steps],
        note="uncalibrated print: for drift, not for absolute colour",
    )


def is_printed_strip(card: Card) -> bool:
    """Say whether a card is the printed strip, which can be looked for."""
    return card.name == NAME


def corners_found(photo: Photo) -> tuple[list[list[float]], str]:
    """Look for the strip; give the four corners round its six greys and "", or no corners and the sentence why."""
    try:
        card = find_card(photo, expected=STUDIO_ID)
    except CardRefused as refused:
        return [], str(refused)
    if card is None:
        return [], "The printed strip was not found in this photo. Mark its six greys with one box."
    first, last = card.patches[0].corners, card.patches[-1].corners
    return np.round([first[0], last[1], last[2], first[3]], 1).tolist(), ""


def doubt_of(photo: Photo) -> Reason | None:
    """Say what speaks against a strip that was marked by hand: what the search refuses it for, graded."""
    try:
        find_card(photo, expected=STUDIO_ID)
    except CardRefused as refused:
        return Reason("retake" if refused.why in _SPOILS_COLOUR else "usable", str(refused))
    return None
