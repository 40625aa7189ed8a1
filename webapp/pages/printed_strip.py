"""The printed strip among the studio's cards: put there by a button, and found in a photo without marks."""

from __future__ import annotations

import numpy as np

from webapp.photo.card_search import CardRefused, find_card
from webapp.photo.printed_card import STUDIO_ID, printed_card
from webapp.photo.read import Photo
from webapp.records.tables import Card

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
