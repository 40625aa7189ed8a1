"""The family that a pigment's constituents make it (DESIGN.md, section 5)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from webapp.pigments.colour_index import Kind, kind_of
from webapp.pigments.constituent import Constituent
from webapp.pigments.label_signs import name_alone
from webapp.pigments.names import named

Family = Literal["carbon/organic", "inorganic", "hybrid", "unknown"]


@dataclass(frozen=True)
class Derived:
    """A family and the sentences why; not `sure` while something on the label could still change it."""

    family: Family
    because: tuple[str, ...]
    sure: bool


def derive_family(constituents: Sequence[Constituent]) -> Derived:
    """Give the family that constituents make.

    Inorganic only: inorganic; carbon or organic only: carbon/organic; both: hybrid. Titanium dioxide changes no
    family, so that alone it makes none. What the label only may contain is left out, and named where it would
    change the family.
    """
    certain = [c for c in constituents if not c.optional]
    kinds = _kinds(certain)
    family = _family(kinds)
    because = [_why(certain, family)]
    if "titanium dioxide" in kinds:
        because.append("Titanium dioxide is in it; it changes no family, and can darken under a laser.")
    with_optional = _family(_kinds(constituents))
    if with_optional != family:
        because.append(f"With what the label says it may contain, it would be {with_optional}.")
    open_questions = sum(c.role == "unknown" for c in constituents)
    if open_questions:
        what = "one constituent is" if open_questions == 1 else f"{open_questions} constituents are"
        because.append(f"This can still change: {what} not understood yet.")
    return Derived(family, tuple(because), not open_questions and with_optional == family)


def _family(kinds: Iterable[Kind]) -> Family:
    sides = {"carbon/organic" if kind in ("carbon", "organic") else kind for kind in kinds} - {"titanium dioxide"}
    if len(sides) == 2:
        return "hybrid"
    if sides == {"inorganic"}:
        return "inorganic"
    return "carbon/organic" if sides else "unknown"


def _kinds(constituents: Iterable[Constituent]) -> set[Kind]:
    return {kind for kind in map(_kind, constituents) if kind is not None}


def _kind(constituent: Constituent) -> Kind | None:
    """Give what a colourant counts as; None for what is none, or cannot be told."""
    if constituent.role != "colourant":
        return None
    if constituent.number:
        return kind_of(constituent.number)
    known = named(name_alone(constituent.text))
    if known is None or known.role != "colourant":
        return None
    return kind_of(known.number) if known.number else "inorganic"  # the names without a number are iron oxides


def _why(constituents: Sequence[Constituent], family: Family) -> str:
    def listed(*kinds: Kind) -> str:
        return ", ".join(
            dict.fromkeys(f"CI {c.number}" if c.number else c.text for c in constituents if _kind(c) in kinds)
        )

    inorganic, others = listed("inorganic"), listed("carbon", "organic")
    if family == "hybrid":
        return f"Carbon or organic ({others}) and inorganic ({inorganic}) together."
    if family == "inorganic":
        return f"Inorganic colourants only: {inorganic}."
    if family == "carbon/organic":
        return f"Carbon or organic colourants only: {others}."
    return "No colourant that makes a family is known in it."
