"""The whole studio as one JSON object, and back again to the same rows."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Mapping
from contextlib import closing
from datetime import date, datetime
from pathlib import Path
from typing import Any

from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import (
    JSON,
    Connection,
    Date,
    DateTime,
    Engine,
    MetaData,
    RowMapping,
    Table,
    create_engine,
    func,
    insert,
    select,
)
from sqlalchemy.exc import DatabaseError, StatementError
from sqlalchemy.types import TypeDecorator, TypeEngine
from sqlmodel import SQLModel

from webapp.records.database import MIGRATIONS, migrate
from webapp.records.tables import Client, Pigment

FORMAT = "healed colour almanac, whole studio"
LEFT_OUT = frozenset(("studio", "judged_work", "judged_cycle"))
"""Whose folder this is stays with the folder, and what was judged is judged anew."""


class StudioFileUnusable(ValueError):
    """The file cannot be taken in; the message is a sentence for the artist."""


def kept_tables() -> list[Table]:
    """Give the tables whose rows make up a studio, those that are pointed to before those that point."""
    return [t for t in SQLModel.metadata.sorted_tables if t.name not in LEFT_OUT]


def write_studio(connection: Connection) -> dict[str, Any]:
    """Give the studio as an object that JSON can hold: its form, the schema's revision, and every table's rows.

    Days are written as year-month-day, moments in ISO 8601; all else as it is.
    """
    revision = MigrationContext.configure(connection).get_current_revision()
    return {
        "format": FORMAT,
        "schema": revision,
        "tables": {t.name: [_plain(dict(row)) for row in _rows(connection, t)] for t in kept_tables()},
    }


def _rows(connection: Connection, table: Table) -> Iterable[RowMapping]:
    return connection.execute(select(table).order_by(*table.primary_key.columns)).mappings()


def _plain(row: dict[str, Any]) -> dict[str, Any]:
    return {k: v.isoformat() if isinstance(v, date | datetime) else v for k, v in row.items()}


def read_studio(connection: Connection, told: object) -> dict[str, int]:
    """Put a written studio into an empty one, in the caller's transaction; give the number of rows by table.

    One written under an earlier schema is brought forward first. Raises StudioFileUnusable, with nothing kept
    once the caller rolls back, for another kind of file, a later schema, rows that do not hold together, and a
    studio that already has clients or pigments.
    """
    if not isinstance(told, dict) or told.get("format") != FORMAT or not isinstance(told.get("tables"), dict):
        raise StudioFileUnusable(
            "This is not a studio written by the almanac. Choose the studio.json, or the ZIP, that it wrote under "
            "Take out and bring in."
        )
    if any(connection.execute(select(func.count()).select_from(t)).scalar() for t in (Client, Pigment)):
        raise StudioFileUnusable(
            "This studio already holds clients or pigments, and two studios are not mixed. Start the almanac on an "
            "empty folder (--data DIR) and bring the file in there."
        )
    known = [script.revision for script in ScriptDirectory(str(MIGRATIONS)).walk_revisions()]
    if told.get("schema") not in known:
        raise StudioFileUnusable(
            "The file was written by a later version of the almanac than this one. Bring it in with that version."
        )
    try:
        tables = told["tables"] if told["schema"] == known[0] else _brought_forward(told)
        return _fill(connection, tables)
    except (DatabaseError, StatementError, TypeError, ValueError, KeyError, AttributeError) as error:
        raise StudioFileUnusable(
            "The rows in the file do not hold together, so none was taken in. The file may have been changed or cut "
            "off: write it anew, or use an earlier one."
        ) from error


def _fill(connection: Connection, told: Mapping[str, Any]) -> dict[str, int]:
    tables = kept_tables()
    for table in reversed(tables):
        connection.execute(table.delete())
    connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")  # a row may point to one that follows
    counts = {}
    for table in tables:
        rows = [_typed(table, row) for row in told.get(table.name, [])]
        if rows:
            connection.execute(insert(table), rows)
        counts[table.name] = len(rows)
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    if broken is not None:
        raise ValueError(f"a row of {broken[0]} points to nothing")
    return counts


def _typed(table: Table, row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _value(table.columns[name].type, value) for name, value in row.items()}


def _value(kind: TypeEngine[Any], value: Any) -> Any:
    plain = kind.impl_instance if isinstance(kind, TypeDecorator) else kind
    if value is None or not isinstance(plain, Date | DateTime):
        return value
    return (datetime if isinstance(plain, DateTime) else date).fromisoformat(value)


def _brought_forward(told: Mapping[str, Any]) -> Mapping[str, Any]:
    """Give the tables of an earlier schema as they are in the present one: put down as they were, then migrated."""
    with tempfile.TemporaryDirectory() as folder:
        engine = create_engine(f"sqlite:///{Path(folder) / 'earlier.sqlite3'}")
        try:
            return _through_migrations(engine, told)
        finally:
            engine.dispose()


def _through_migrations(engine: Engine, told: Mapping[str, Any]) -> Mapping[str, Any]:
    migrate(engine, told["schema"])
    earlier = MetaData()
    with closing(engine.connect()) as connection, connection.begin():
        earlier.reflect(connection)
        for table in earlier.sorted_tables:
            for column in table.columns:
                if isinstance(column.type, JSON):
                    column.type = JSON(none_as_null=True)
            if told["tables"].get(table.name):
                connection.execute(insert(table), [_typed(table, row) for row in told["tables"][table.name]])
    migrate(engine)
    with engine.connect() as connection:
        tables: Mapping[str, Any] = write_studio(connection)["tables"]
        return tables
