"""What a pigment is made of, in plain words for a client."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.records.tables import Constituent, Pigment

_PLAIN = {
    "77491": "red iron oxide",
    "77492": "yellow iron oxide",
    "77499": "black iron oxide",
    "77891": "titanium dioxide (white)",
    "77266": "carbon black",
    "77267": "carbon black from bone",
}
"""Colour Index numbers that nearly every cosmetic pigment is made of. Names from memory, to be confirmed."""
DARKENS_UNDER_LASER = frozenset({"77491", "77492", "77499", "77891"})
"""Iron oxides and titanium dioxide, which can darken under a laser (Dermatol. Surg. 2018; Lasers Med. Sci. 2023)."""
_FAMILY = {
    "carbon/organic": "carbon or organic colour",
    "inorganic": "mineral colour, mostly iron oxides",
    "hybrid": "mineral and carbon or organic colour together",
    "unknown": "what it is made of is not known",
}


def constituent_words(each: Constituent) -> str:
    """Write one constituent, its number beside the plain name where it has one, else as the label prints it."""
    plain = _PLAIN.get(each.colour_index)
    name = f"{plain}, CI {each.colour_index}" if plain else each.text
    return name if each.share_percent is None else f"{name} ({each.share_percent:g} %)"


def pigment_words(pigment: Pigment, constituents: Sequence[Constituent]) -> str:
    """Write a pigment with its constituents; where none is entered, what its family says."""
    named = [constituent_words(c) for c in constituents if c.role in ("colourant", "unknown")]
    shade = f", shade {pigment.shade}" if pigment.shade else ""
    made_of = f"made of {'; '.join(named)}" if named else _FAMILY[pigment.family]
    return f"{pigment.name}{shade}: {made_of}."
