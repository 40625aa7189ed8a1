"""What the shelf's pages ask of the rows: pigments found, with what belongs to them, and where they were used."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import delete
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, func, or_, select

from webapp.records.folding import folded
from webapp.records.tables import (
    Bottle,
    CardPhoto,
    Client,
    Constituent,
    FollowUp,
    Pigment,
    Session,
    SessionPigment,
    Swatch,
    Work,
)


def find_pigments(rows: DatabaseSession, words: str, limit: int, offset: int = 0) -> tuple[list[Pigment], int]:
    """Give the pigments that hold every one of the words, in alphabetical order, and how many there are in all.

    Searched are name, shade, maker and family, and the text and number of constituents.
    """
    own = func.folded(Pigment.name + " " + Pigment.shade + " " + Pigment.maker + " " + Pigment.family)
    holds = []
    for word in folded(words).split():
        made_of = select(Constituent.pigment_id).where(
            or_(func.instr(func.folded(Constituent.text), word) > 0, func.instr(Constituent.colour_index, word) > 0)
        )
        holds.append(or_(func.instr(own, word) > 0, col(Pigment.id).in_(made_of)))
    count = rows.exec(select(func.count()).select_from(Pigment).where(*holds)).one()
    wanted = select(Pigment).where(*holds).order_by(func.folded(Pigment.name), col(Pigment.id))
    return list(rows.exec(wanted.limit(limit).offset(offset))), count


def constituents_of(rows: DatabaseSession, pigments: Sequence[int]) -> dict[int, list[Constituent]]:
    """Give the constituents of pigments in the label's order."""
    found: defaultdict[int, list[Constituent]] = defaultdict(list)
    wanted = select(Constituent).where(col(Constituent.pigment_id).in_(pigments))
    for row in rows.exec(wanted.order_by(col(Constituent.position), col(Constituent.id))):
        found[row.pigment_id].append(row)
    return found


def numbers_of(rows: DatabaseSession) -> dict[int, list[str]]:
    """Give the Colour Index numbers of every pigment in the label's order."""
    found: defaultdict[int, list[str]] = defaultdict(list)
    wanted = select(Constituent.pigment_id, Constituent.colour_index).where(Constituent.colour_index != "")
    for pigment, number in rows.exec(wanted.order_by(col(Constituent.position))):
        found[pigment].append(number)
    return found


def bottles_of(rows: DatabaseSession, pigments: Sequence[int] | None = None) -> dict[int, list[Bottle]]:
    """Give the bottles of pigments, or of all; those that are not empty first, the latest opened first."""
    found: defaultdict[int, list[Bottle]] = defaultdict(list)
    wanted = select(Bottle).order_by(
        col(Bottle.empty_on).is_not(None), col(Bottle.opened_on).desc(), col(Bottle.id).desc()
    )
    if pigments is not None:
        wanted = wanted.where(col(Bottle.pigment_id).in_(pigments))
    for row in rows.exec(wanted):
        found[row.pigment_id].append(row)
    return found


def swatches_of(rows: DatabaseSession, pigment: int) -> list[Swatch]:
    """Give a pigment's swatches, the latest first."""
    wanted = select(Swatch).where(Swatch.pigment_id == pigment)
    return list(rows.exec(wanted.order_by(col(Swatch.on_date).desc(), col(Swatch.id).desc())))


@dataclass(frozen=True)
class UsedIn:
    """A work that a pigment went into, and the day of the latest time."""

    work_id: int
    alias: str
    site: str
    on: date


def used_in(rows: DatabaseSession, pigment: int) -> list[UsedIn]:
    """Give the works that a pigment went into, the latest first."""
    latest = func.max(Session.on_date)
    wanted = (
        select(Work.id, Client.alias, Work.site, latest)
        .select_from(SessionPigment)
        .join(Session, col(Session.id) == col(SessionPigment.session_id))
        .join(Work, col(Work.id) == col(Session.work_id))
        .join(Client, col(Client.id) == col(Work.client_id))
        .where(SessionPigment.pigment_id == pigment)
        .group_by(col(Work.id), col(Client.alias), col(Work.site))
        .order_by(latest.desc(), col(Work.id))
    )
    return [UsedIn(key or 0, alias, site, day) for key, alias, site, day in rows.exec(wanted)]


def works_counted(rows: DatabaseSession, pigments: Sequence[int]) -> dict[int, int]:
    """Give how many works each pigment went into."""
    wanted = (
        select(SessionPigment.pigment_id, func.count(func.distinct(Session.work_id)))
        .join(Session, col(Session.id) == col(SessionPigment.session_id))
        .where(col(SessionPigment.pigment_id).in_(pigments))
        .group_by(col(SessionPigment.pigment_id))
    )
    return dict(rows.exec(wanted).all())


def answers_given(rows: DatabaseSession, texts: Sequence[str]) -> dict[str, tuple[str, str]]:
    """Give role and Colour Index number of constituents with these texts that were answered before, anywhere."""
    wanted = select(Constituent).where(col(Constituent.text).in_(texts), Constituent.role != "unknown")
    return {row.text: (row.role, row.colour_index) for row in rows.exec(wanted.order_by(col(Constituent.id)))}


def replace_constituents(rows: DatabaseSession, pigment: int, new: Sequence[Constituent]) -> None:
    """Put constituents in place of a pigment's earlier ones."""
    rows.exec(delete(Constituent).where(col(Constituent.pigment_id) == pigment))
    rows.add_all(new)
    rows.flush()


def mix_of(rows: DatabaseSession, session: int) -> list[SessionPigment]:
    """Give what was used in a session."""
    wanted = select(SessionPigment).join(Pigment).where(SessionPigment.session_id == session)
    return list(rows.exec(wanted.order_by(func.folded(Pigment.name))))


def photo_shown(rows: DatabaseSession, photo: int) -> bool:
    """Say whether any swatch, follow-up or new card still shows a photo."""
    return any(
        rows.exec(select(table.id).where(table.photo_id == photo)).first() is not None
        for table in (Swatch, FollowUp, CardPhoto)
    )
