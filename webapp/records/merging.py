"""Two records of one person become one: everything moves, in one transaction, and nothing is lost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from sqlalchemy import Table
from sqlmodel import Session as DatabaseSession
from sqlmodel import SQLModel, col, delete, func, select, update

from webapp.records.merged_consents import ScopeAfter, consents_after
from webapp.records.tables import Client, Consent, PhotoFile, Work
from webapp.records.words import PHOTO_STORAGE

CHOSEN_FIELDS = ("alias", "skin_type", "undertone", "age_band", "skin_quality")
"""Fields of which one value can stay; the other goes into the notes."""
_JUDGED = frozenset({"judged_work", "judged_cycle"})
"""Verdicts, which are forgotten by triggers and judged anew; they are not moved."""


class MergeRefused(ValueError):
    """The two may not be merged as things stand; the message is a sentence for the artist."""


@dataclass(frozen=True)
class MergePlan:
    """Two clients, what moves from the second to the first, and what their consents come to.

    `moves` counts by table; `same_site` pairs (a work of the first, one of the second) on one site where each has
    one only; `refusal` is the sentence why it cannot be done, or "".
    """

    keep: Client
    other: Client
    moves: Mapping[str, int]
    differs: tuple[str, ...]
    same_site: tuple[tuple[Work, Work], ...]
    consents: tuple[ScopeAfter, ...]
    refusal: str


@dataclass(frozen=True)
class MergeChoices:
    """Which fields are taken from the second client, and which of its works are joined to which of the first."""

    from_other: frozenset[str] = frozenset()
    join: Mapping[int, int] = field(default_factory=dict)


def plan_merge(rows: DatabaseSession, keep: Client, other: Client) -> MergePlan:
    """Say what merging `other` into `keep` would do; changes nothing. Raises MergeRefused for one and the same."""
    if keep.id == other.id:
        raise MergeRefused("These are one and the same record; choose two different ones.")
    after = consents_after(_consents(rows, keep), _consents(rows, other))
    return MergePlan(
        keep,
        other,
        {table.name: _count(rows, table, column, other.id) for table, column in _pointing_to("client")},
        tuple(f for f in CHOSEN_FIELDS if getattr(keep, f) and getattr(other, f) and _differ(keep, other, f)),
        _same_site(rows, keep, other),
        after,
        _refusal(rows, (keep, other), after),
    )


def merge_clients(rows: DatabaseSession, plan: MergePlan, choices: MergeChoices, on: date) -> None:
    """Do what a plan says and leave it to the caller to commit. Raises MergeRefused, having changed nothing."""
    if plan.refusal:
        raise MergeRefused(plan.refusal)
    keep, other = plan.keep, plan.other
    allowed = {(theirs.id, own.id) for own, theirs in plan.same_site}
    if not set(choices.join.items()) <= allowed:
        raise MergeRefused("Only two works on the same site can be joined, where each record has one there.")
    for after in plan.consents:
        for consent, day in after.ended:
            consent.withdrawn_on = day
            consent.note = _lines(consent.note, f"Ended at merging by the withdrawal of {day.isoformat()}.")
    keep.skin_notes = _lines(keep.skin_notes, other.skin_notes, _left_over(plan, choices, on))
    taken = {f: getattr(other, f) for f in CHOSEN_FIELDS if _takes_other(keep, other, f, choices)}
    keep.created_at = min(keep.created_at, other.created_at)
    rows.flush()
    for table, column in _pointing_to("client"):
        rows.connection().execute(table.update().where(table.c[column] == other.id).values({column: keep.id}))
    for theirs, own in choices.join.items():
        _join_works(rows, rows.get_one(Work, own), rows.get_one(Work, theirs))
    rows.flush()
    rows.exec(delete(Client).where(col(Client.id) == other.id))
    # The alias is free only once the other row is gone.
    if taken:
        rows.exec(update(Client).where(col(Client.id) == keep.id).values(**taken))
    rows.expire_all()


def _join_works(rows: DatabaseSession, own: Work, theirs: Work) -> None:
    if own.aim_lab is None and not own.aim_note:
        own.aim_lab, own.aim_from = theirs.aim_lab, theirs.aim_from
        own.aim_agreed_on, own.aim_note = theirs.aim_agreed_on, theirs.aim_note
        own.note = _lines(own.note, theirs.note)
    else:
        own.note = _lines(own.note, theirs.note, _aim_in_words(theirs))
    own.created_at = min(own.created_at, theirs.created_at)
    rows.flush()
    for table, column in _pointing_to("work"):
        rows.connection().execute(table.update().where(table.c[column] == theirs.id).values({column: own.id}))
    rows.exec(delete(Work).where(col(Work.id) == theirs.id))


def _aim_in_words(work: Work) -> str:
    if work.aim_lab is None and not work.aim_note:
        return ""
    colour = "" if work.aim_lab is None else " L* {:.2f} a* {:.2f} b* {:.2f}".format(*work.aim_lab)
    agreed = "" if work.aim_agreed_on is None else f", agreed on {work.aim_agreed_on.isoformat()}"
    return f"Aim of the joined record:{colour} ({work.aim_from or 'no colour'}{agreed}) {work.aim_note}".rstrip()


def _left_over(plan: MergePlan, choices: MergeChoices, on: date) -> str:
    keep, other = plan.keep, plan.other
    words = []
    for name in CHOSEN_FIELDS:
        left = keep if _takes_other(keep, other, name, choices) else other
        value = getattr(left, name)
        if value and (name == "alias" or _differ(keep, other, name)):
            words.append(f"{name.replace('_', ' ')} {value}")
    return f"Merged on {on.isoformat()} with another record: {', '.join(words)}."


def _takes_other(keep: Client, other: Client, name: str, choices: MergeChoices) -> bool:
    return bool(getattr(other, name)) and (name in choices.from_other or not getattr(keep, name))


def _differ(keep: Client, other: Client, name: str) -> bool:
    return bool(getattr(keep, name) != getattr(other, name))


def _refusal(rows: DatabaseSession, clients: Sequence[Client], after: Sequence[ScopeAfter]) -> str:
    photos = select(func.count()).select_from(PhotoFile).where(col(PhotoFile.client_id).in_([c.id for c in clients]))
    count = rows.exec(photos).one()
    if count == 0 or next(a for a in after if a.scope == PHOTO_STORAGE).in_force:
        return ""
    return (
        f"There are {count} photos, and no consent to photo storage would be in force: one record says that it was "
        "withdrawn after the other's was given. Ask the client. If she agrees anew, record it in the record that "
        "holds the photos, with the day of today; if not, withdraw it there too, which deletes them. Then merge."
    )


def _same_site(rows: DatabaseSession, keep: Client, other: Client) -> tuple[tuple[Work, Work], ...]:
    own, theirs = (
        list(rows.exec(select(Work).where(Work.client_id == client.id).order_by(col(Work.id))))
        for client in (keep, other)
    )
    pairs = []
    for site in dict.fromkeys(w.site for w in own):
        mine, others = [w for w in own if w.site == site], [w for w in theirs if w.site == site]
        if len(mine) == len(others) == 1:
            pairs.append((mine[0], others[0]))
    return tuple(pairs)


def _pointing_to(target: str) -> list[tuple[Table, str]]:
    """Give every table with a column that points to a row of the target, so that a later table is moved too."""
    return [
        (table, key.parent.name)
        for table in SQLModel.metadata.sorted_tables
        for key in sorted(table.foreign_keys, key=lambda k: k.parent.name)
        if key.column.table.name == target and table.name not in _JUDGED
    ]


def _count(rows: DatabaseSession, table: Table, column: str, key: int | None) -> int:
    found = rows.connection().execute(select(func.count()).select_from(table).where(table.c[column] == key))
    return int(found.scalar_one())


def _consents(rows: DatabaseSession, client: Client) -> list[Consent]:
    return list(rows.exec(select(Consent).where(Consent.client_id == client.id).order_by(col(Consent.id))))


def _lines(*texts: str) -> str:
    return "\n".join(text for text in texts if text)
