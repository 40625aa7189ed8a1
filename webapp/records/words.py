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
SESSION_KINDS = ("first session", "touch-up", "colour boost", "correction", "removal")
ADDS_PIGMENT = SESSION_KINDS[:-1]
TECHNIQUES = ("powder brow", "ombré brow", "microblading", "combination", "eyeliner", "other")
FAMILIES = ("carbon/organic", "inorganic", "hybrid", "unknown")
STUDIO_KINDS = ("own", "demo")
