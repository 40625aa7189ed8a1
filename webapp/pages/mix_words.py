"""A session's mix in words: pigments with bottle and parts, and the dilution."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.records.history import Ingredient
from webapp.records.tables import Session


def ingredient_words(each: Ingredient) -> str:
    """Write a pigment of a mix, such as “2 parts Walnut (hybrid), bottle B17”."""
    parts = "" if each.parts is None else f"{each.parts:g} part{'' if each.parts == 1 else 's'} "
    bottle = f", bottle {each.bottle.batch}" if each.bottle is not None and each.bottle.batch else ""
    return f"{parts}{each.pigment.name} ({each.pigment.family}){bottle}"


def mix_words(mix: Sequence[Ingredient], session: Session) -> str:
    """Write a whole mix with its dilution; "pigment unknown" where none is entered and some went in."""
    words = "; ".join(ingredient_words(each) for each in mix)
    if not words:
        return "" if session.kind == "removal" else "pigment unknown"
    if session.diluted_parts:
        words += f"; diluted with {session.diluted_parts:g} part{'' if session.diluted_parts == 1 else 's'}"
    return words
