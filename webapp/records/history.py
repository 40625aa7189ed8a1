"""What went into a session: each pigment with its bottle and parts, and what the pigments are made of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session as DatabaseSession
from sqlmodel import col, select

from webapp.records.tables import Bottle, Constituent, Pigment, Session, SessionPigment


@dataclass(frozen=True)
class Ingredient:
    """A pigment in a session's mix: from which bottle, and how many parts; None where it was not entered."""

    pigment: Pigment
    bottle: Bottle | None
    parts: float | None


def mixes(rows: DatabaseSession, work_ids: Sequence[int]) -> dict[int, list[Ingredient]]:
    """Give what went into each session of these works, by the session's id."""
    used = (
        select(SessionPigment, Pigment, Bottle)
        .join(Pigment, col(SessionPigment.pigment_id) == col(Pigment.id))
        .join(Session, col(SessionPigment.session_id) == col(Session.id))
        .outerjoin(Bottle, col(SessionPigment.bottle_id) == col(Bottle.id))
        .where(col(Session.work_id).in_(work_ids))
        .order_by(col(SessionPigment.parts).desc(), col(Pigment.name))
    )
    found: defaultdict[int, list[Ingredient]] = defaultdict(list)
    for link, pigment, bottle in rows.exec(used):
        found[link.session_id].append(Ingredient(pigment, bottle, link.parts))
    return dict(found)


def constituents(rows: DatabaseSession, pigment_ids: Sequence[int]) -> dict[int, list[Constituent]]:
    """Give the constituents of these pigments in the label's order, by the pigment's id."""
    wanted = select(Constituent).where(col(Constituent.pigment_id).in_(pigment_ids))
    found: defaultdict[int, list[Constituent]] = defaultdict(list)
    for each in rows.exec(wanted.order_by(col(Constituent.position), col(Constituent.id))):
        found[each.pigment_id].append(each)
    return dict(found)
