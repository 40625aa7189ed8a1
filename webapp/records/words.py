"""The words that rows may hold, in the order in which pages offer them."""

from __future__ import annotations

SITES = (
    "left brow",
    "right brow",
    "left upper eyeliner",
    "right upper eyeliner",
    "left lower eyeliner",
    "right lower eyeliner",
)
EARLIER_WORK, REMOVAL = "earlier work", "removal"
"""Earlier work: done by someone else, before the studio's first session, as a rule with unknown pigment."""
SESSION_KINDS = ("first session", "touch-up", "colour boost", "correction", REMOVAL, EARLIER_WORK)
ADDS_PIGMENT = tuple(kind for kind in SESSION_KINDS if kind != REMOVAL)
HANDS = ("light", "medium", "heavy")
TECHNIQUES = ("powder brow", "ombré brow", "microblading", "combination", "eyeliner", "other")
FAMILIES = ("carbon/organic", "inorganic", "hybrid", "unknown")
PHOTO_STORAGE, STUDIO_STATISTICS, TEACHING = "photo storage", "studio statistics", "teaching"
CONSENT_SCOPES = (PHOTO_STORAGE, STUDIO_STATISTICS, TEACHING)
ROLES = ("colourant", "carrier", "preservative", "other", "unknown")
SKIN_TYPES = ("I", "II", "III", "IV", "V", "VI")
"""Phototypes after Fitzpatrick 1988, Arch. Dermatol. 124: 869–871."""
AGE_BANDS = ("under 25", "25 to 34", "35 to 44", "45 to 54", "55 to 64", "65 and over")
SKIN_QUALITIES = ("thin", "mature", "thin and mature", "neither")
GREY_CARD, STEP_CARD, PRINTED_STRIP = "grey card", "step card", "printed strip"
CARD_KINDS = (GREY_CARD, STEP_CARD, PRINTED_STRIP)
INSTRUMENT, MAKER, BESIDE_KNOWN_CARD = "instrument", "maker", "photo beside a known card"
"""Where a card's known values may come from; empty where they are assumed, or were entered before this was asked."""
OUTLINE_SOURCES = ("drawn", "proposed", "carried over")
AIM_SOURCES = ("photo", "swatch", "baseline")
STUDIO_KINDS = ("own", "demo")
OPEN, READY, DONE, FAILED, LEFT_OUT = "open", "ready", "done", "failed", "left out"
IMPORT_STATES = (OPEN, READY, DONE, FAILED, LEFT_OUT)
"""A photo of an import: still to be looked at, checked, stored, refused with a sentence, or not wanted."""
DAY_SOURCES = ("camera", "name")
