"""A pigment's label and its constituents' rows: read, answered, read anew, and the family that follows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sqlmodel import Session as DatabaseSession

from webapp.pigments.bottle_age import BottleDates
from webapp.pigments.constituent import Constituent, Role
from webapp.pigments.family import Derived, derive_family
from webapp.pigments.label import read_constituent, read_label
from webapp.records import shelf_rows, tables

_ROLES: tuple[Role, ...] = ("colourant", "carrier", "preservative", "other", "unknown")


def from_row(row: tables.Constituent) -> Constituent:
    """Give a constituent as its row keeps it."""
    role = next(role for role in _ROLES if role == row.role)
    return Constituent.kept(row.text, role, row.colour_index, row.share_percent)


def doubted(constituent: Constituent) -> Constituent:
    """Give a constituent with what of its text does not agree, which is not kept."""
    return replace(constituent, doubt=read_constituent(constituent.text).doubt)


def from_rows(rows: Sequence[tables.Constituent]) -> list[Constituent]:
    """Give constituents as their rows keep them."""
    return [from_row(row) for row in rows]


def understood(rows: DatabaseSession, label: str) -> list[Constituent]:
    """Read a label; what it says in words that were answered for before is understood as it was then."""
    read = read_label(label).constituents
    known = shelf_rows.answers_given(rows, [c.kept_text for c in read if c.role == "unknown"])
    result = []
    for one in read:
        role, number = known.get(one.kept_text, (one.role, one.number))
        as_role = next(r for r in _ROLES if r == role)
        result.append(Constituent(one.text, as_role, number, one.share, one.optional, one.doubt))
    return result


def keep_label(rows: DatabaseSession, pigment: tables.Pigment, label: str, read: Sequence[Constituent]) -> None:
    """Store a pigment's label and its constituents; the family is left to `settle_family`."""
    assert pigment.id is not None
    pigment.label = label
    new = [
        tables.Constituent(
            pigment_id=pigment.id,
            position=position,
            text=one.kept_text,
            colour_index=one.number,
            share_percent=one.share,
            role=one.role,
        )
        for position, one in enumerate(read)
    ]
    shelf_rows.replace_constituents(rows, pigment.id, new)


def settle_family(pigment: tables.Pigment, constituents: Sequence[Constituent]) -> Derived:
    """Let a pigment's family follow from its constituents, unless the artist overruled it or they say nothing."""
    derived = derive_family(constituents)
    if not pigment.family_because and derived.family != "unknown":
        pigment.family = derived.family
    return derived


def bottle_dates(bottle: tables.Bottle) -> BottleDates:
    """Give what a bottle's row says of its age."""
    return BottleDates(bottle.opened_on, bottle.expires_on, bottle.months_after_opening, bottle.empty_on)
