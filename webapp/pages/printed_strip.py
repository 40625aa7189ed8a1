"""Printed strips among the studio's cards: put there by a button, and found in a photo without marks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from webapp.photo.card_search import CardRefused, Why, find_card
from webapp.photo.printed_card import STUDIO_ID, printed_card
from webapp.photo.quality import Reason
from webapp.photo.read import Photo
from webapp.records.tables import Card
from webapp.records.words import PRINTED_STRIP

_SPOILS_COLOUR: tuple[Why, ...] = ("another card", "steps covered")
"""What makes the greys themselves wrong; the other refusals leave them readable, if they are marked with care."""
NAME = f"Printed strip {STUDIO_ID}"


def new_strip() -> Card:
    """Give the studio's printed strip as a card, with the greys that it was drawn with."""
    return Card(
        name=NAME,
        patches=nominal_patches(STUDIO_ID),
        note="uncalibrated print: for drift, not for absolute colour",
        kind=PRINTED_STRIP,
        printed_id=STUDIO_ID,
    )


def nominal_patches(printed_id: str) -> list[list[float]]:
    """Give the CIELAB that a strip of this id is drawn with. Raises CardIdUnusable."""
    return [[round(float(v), 2) for v in step.lab] for step in printed_card(printed_id).steps]


def is_printed_strip(card: Card) -> bool:
    """Say whether a card is a printed strip, which can be looked for."""
    return bool(card.printed_id)


def corners_found(photo: Photo, printed_id: str, cards: Sequence[Card] = ()) -> tuple[list[list[float]], str]:
    """Look for a strip; give the four corners round its six greys and "", or no corners and the sentence why.

    `cards` are those registered, among which the owner of another strip is looked up.
    """
    try:
        card = find_card(photo, expected=printed_id)
    except CardRefused as refused:
        return [], _sentence(refused, printed_id, cards)
    if card is None:
        return [], "The printed strip was not found in this photo. Mark its six greys with one box."
    first, last = card.patches[0].corners, card.patches[-1].corners
    return np.round([first[0], last[1], last[2], first[3]], 1).tolist(), ""


def doubt_of(photo: Photo, printed_id: str, cards: Sequence[Card] = ()) -> Reason | None:
    """Say what speaks against a strip that was marked by hand: what the search refuses it for, graded."""
    try:
        find_card(photo, expected=printed_id)
    except CardRefused as refused:
        sentence = _sentence(refused, printed_id, cards)
        return Reason("retake" if refused.why in _SPOILS_COLOUR else "usable", sentence)
    return None


def _sentence(refused: CardRefused, expected: str, cards: Sequence[Card]) -> str:
    if refused.why != "another card" or not cards:
        return str(refused)
    told = f"The printed card in the photo is {refused.found}, but {expected} is expected here."
    owners = " or ".join(f"“{c.name}”" for c in cards if c.printed_id == refused.found)
    if owners:
        return f"{told} It is registered as {owners}: choose that card, or photograph again with {expected}."
    return (
        f"{told} No card is registered under {refused.found}: it may be a print from elsewhere. "
        f"Photograph again with {expected}, or register {refused.found} under Cards and choose it."
    )
