"""Names of constituents in the languages of labels, without their Colour Index numbers."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from webapp.pigments.colour_index import read_table

NamedRole = Literal["colourant", "carrier", "preservative", "other"]
_ROLES: tuple[NamedRole, ...] = ("colourant", "carrier", "preservative", "other")
_LETTERS = str.maketrans({"ł": "l", "ø": "o", "æ": "ae", "œ": "oe", "đ": "d", "ð": "d", "þ": "th", "’": "'"})
_SAYS_NOTHING = frozenset(
    """purified deionised deionized demineralised demineralized distilled sterile purificata dest bidest gereinigtes
    destilliert destilliertes destilado destilada distillata distillee purifiee purificada oczyszczona pigment pigments
    powder micronised micronized nano vegetable ph regulator regler regulateur regulador regolatore synthetic cosmetic
    grade usp and und et y e i""".split()  # noqa: SIM905 - a list of so many words is read more easily as a text
)
"""Words beside a name that change nothing of what it is."""


@dataclass(frozen=True)
class Named:
    """What a name stands for: in plain English, its role, and its Colour Index number where it has one alone."""

    english: str
    role: NamedRole
    number: str
    structure: str


def folded(text: str) -> str:
    """Give a text in small letters without accents, every other sign a space: the form in which names are compared."""
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    letters = "".join(c for c in plain if not unicodedata.combining(c)).casefold()
    return " ".join(re.sub(r"[\W_]+", " ", letters).split())


def named(text: str) -> Named | None:
    """Give what a constituent's printed name stands for, None where it is not known.

    A name counts only where nothing but known names of one thing, and words that say nothing, stand in the text: it is
    better to ask than to guess.
    """
    for candidate in _candidates(text):
        found = _names().get(_sorted(candidate))
        if found is not None:
            return found
    return _same_thing_twice(text)


def _candidates(text: str) -> Iterator[str]:
    whole = folded(text)
    yield whole
    yield " ".join(word for word in whole.split() if word not in _SAYS_NOTHING)
    without = folded(re.sub(r"[(\[{][^()\[\]{}]*[)\]}]", " ", text))
    yield " ".join(word for word in without.split() if word not in _SAYS_NOTHING)


def _same_thing_twice(text: str) -> Named | None:
    """Read "Aqua (Water)" and "aqua/water/eau": several names of one thing."""
    parts = [p for p in (folded(p) for p in re.split(r"[()\[\]{}/=]", text)) if p]
    found = {_names().get(_sorted(" ".join(w for w in p.split() if w not in _SAYS_NOTHING))) for p in parts}
    return found.pop() if len(parts) > 1 and len(found) == 1 else None


def _sorted(name: str) -> tuple[str, ...]:
    return tuple(sorted(name.split()))


@cache
def _names() -> Mapping[tuple[str, ...], Named]:
    names: dict[tuple[str, ...], Named] = {}
    for line in read_table("constituent_names.csv"):
        role = next(role for role in _ROLES if role == line["role"])
        one = Named(line["english"], role, line["number"], line["class"])
        for name in line["names"].split("|"):
            names[_sorted(folded(name))] = one
    names.pop((), None)
    return names
