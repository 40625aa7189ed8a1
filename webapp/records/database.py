"""Opens the studio's database: SQLite, write-ahead log, foreign keys on, schema brought up to date."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, Engine, event
from sqlmodel import Session as DatabaseSession
from sqlmodel import create_engine, select

from webapp.records.tables import Studio

MIGRATIONS = Path(__file__).parent / "migrations"


class StudioUnusable(RuntimeError):
    """The data folder cannot be opened as asked; the message is a sentence for the artist."""


def open_database(file: Path, kind: str) -> Engine:
    """Open or make the database of a studio of one kind, "own" or "demo", and migrate it forward.

    Raises StudioUnusable where the file holds a studio of the other kind.
    """
    engine = create_engine(f"sqlite:///{file}", connect_args={"timeout": 15})
    event.listen(engine, "connect", _set_up)
    event.listen(engine, "begin", _begin)
    migrate(engine)
    with DatabaseSession(engine) as rows:
        studio = rows.exec(select(Studio)).first()
        if studio is None:
            rows.add(Studio(kind=kind))
            rows.commit()
        elif studio.kind != kind:
            engine.dispose()
            other = "the demo studio" if studio.kind == "demo" else "your own studio"
            raise StudioUnusable(
                f"The folder {file.parent} already holds {other}. Demo and own data are never mixed: "
                "choose another folder with --data."
            )
    return engine


def migrate(engine: Engine, to: str = "head") -> None:
    """Bring the schema to a revision. Each migration runs in one transaction: all of it or none."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, to)


def _set_up(connection: Any, _record: Any) -> None:
    # The driver's own habit is to leave schema changes outside transactions; with this, BEGIN is ours.
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute("PRAGMA journal_mode=WAL")
    cursor.execute("PRAGMA synchronous=FULL")
    cursor.execute("PRAGMA foreign_keys=ON")
    cursor.close()


def _begin(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN")
