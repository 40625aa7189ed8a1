"""What was found out about a work, kept so that it need not be found out again; and how it is forgotten in time.

Every table that a verdict hangs on is watched by triggers inside the database: whoever changes a row, by whatever page
or tool, the works that it touches are forgotten in the same transaction. So what is kept is never older than the rows.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from sqlalchemy import JSON, Column, Connection, delete, text
from sqlmodel import Field, SQLModel

from webapp.records import tables  # noqa: F401  (the foreign keys below point there)

RATES = ("lightness", "a", "b", "warmth", "own_warmth", "own_cross", "fading")
"""The quantities whose rates per month are kept; fading is the share of density lost."""


class JudgedWork(SQLModel, table=True):
    """The verdict on a work: the flag's fields, the present cycle's, and the stamp of the method that judged."""

    __tablename__ = "judged_work"
    work_id: int = Field(primary_key=True, foreign_key="work.id", ondelete="CASCADE")
    stamp: str
    flag: dict[str, Any] = Field(sa_column=Column(JSON, nullable=False))
    present: dict[str, Any] = Field(sa_column=Column(JSON, nullable=False))


class JudgedCycle(SQLModel, table=True):
    """One cycle with a trend: what it is of, and its own rates per month with their standard errors, not pooled."""

    __tablename__ = "judged_cycle"
    id: int | None = Field(default=None, primary_key=True)
    work_id: int = Field(foreign_key="judged_work.work_id", index=True, ondelete="CASCADE")
    session_id: int
    kind: str
    on_date: date
    technique: str
    artist: str
    hand: str
    family: str
    pigments: str
    photos: int
    months: float
    skin_l: float | None = None
    skin_a: float | None = None
    skin_b: float | None = None
    lightness: float | None = None
    lightness_se: float | None = None
    a: float | None = None
    a_se: float | None = None
    b: float | None = None
    b_se: float | None = None
    warmth: float | None = None
    warmth_se: float | None = None
    own_warmth: float | None = None
    own_warmth_se: float | None = None
    own_cross: float | None = None
    own_cross_se: float | None = None
    fading: float | None = None
    fading_se: float | None = None


_OF_SESSION = "SELECT work_id FROM session WHERE id = {row}.session_id"
_WITH_PIGMENT = (
    "SELECT s.work_id FROM session s JOIN sessionpigment p ON p.session_id = s.id WHERE p.pigment_id = {row}.{key}"
)
WATCHED: dict[str, str] = {
    "client": "SELECT id FROM work WHERE client_id = {row}.id",
    "work": "SELECT {row}.id",
    "session": "SELECT {row}.work_id",
    "sessionpigment": _OF_SESSION,
    "pigment": _WITH_PIGMENT.replace("{key}", "id"),
    "constituent": _WITH_PIGMENT.replace("{key}", "pigment_id"),
    "follow_up": "SELECT {row}.work_id",
    "measurement": "SELECT work_id FROM follow_up WHERE id = {row}.follow_up_id",
    "card": "SELECT work_id FROM follow_up WHERE card_id = {row}.id",
    "studiosetting": "SELECT id FROM work",
}
"""The tables that a verdict hangs on, and for a changed {row} of each the works that it touches."""
NOT_WATCHED = frozenset(
    {
        *("studio", "questioning", "consent", "bottle", "swatch", "card_photo", "photofile"),
        *("judged_work", "judged_cycle", "photo_import", "photo_import_item"),
    }
)
"""Tables that no verdict hangs on. Whether a client takes part in statistics is asked when a page is drawn."""


def _triggers() -> dict[str, str]:
    made = {}
    for table, works in WATCHED.items():
        for event, rows in (("INSERT", ("NEW",)), ("UPDATE", ("OLD", "NEW")), ("DELETE", ("OLD",))):
            name = f"judged_{table}_{event.lower()}"
            forget = " ".join(
                f"DELETE FROM judged_work WHERE work_id IN ({works.replace('{row}', row)});" for row in rows
            )
            made[name] = f'CREATE TRIGGER {name} AFTER {event} ON "{table}" BEGIN {forget} END'
    return made


def unwatch(connection: Connection) -> None:
    """Take the triggers away, as a migration must, which writes tables anew."""
    for name in _triggers_there(connection):
        connection.execute(text(f"DROP TRIGGER {name}"))


def watch(connection: Connection) -> None:
    """Set the triggers, and forget everything judged while there were none or others."""
    wanted = _triggers()
    if _triggers_there(connection) != wanted:
        unwatch(connection)
        for statement in wanted.values():
            connection.execute(text(statement))
        forget_all(connection)


def forget_all(connection: Connection) -> None:
    """Forget every verdict."""
    for table in (JudgedCycle, JudgedWork):
        connection.execute(delete(table))


def _triggers_there(connection: Connection) -> dict[str, str]:
    found = connection.execute(
        text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'judged\\_%' ESCAPE '\\'")
    )
    return {str(row[0]): str(row[1]) for row in found}
