"""Opens the studio's database: SQLite, write-ahead log, foreign keys on, schema brought up to date."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import Connection, Engine, event
from sqlalchemy.exc import DatabaseError, OperationalError
from sqlmodel import Session as DatabaseSession
from sqlmodel import create_engine, select

from webapp.records import judged
from webapp.records.folding import casefolded, folded
from webapp.records.tables import Studio

MIGRATIONS = Path(__file__).parent / "migrations"
_WRITING = "almanac_writing"


class StudioUnusable(RuntimeError):
    """The data folder cannot be opened as asked; the message is a sentence for the artist."""


def open_database(file: Path, kind: str) -> Engine:
    """Open or make the database of a studio of one kind, "own" or "demo", and migrate it forward.

    Raises StudioUnusable where the file holds a studio of the other kind, is no database, comes from a later
    version, or cannot be written.
    """
    engine = create_engine(f"sqlite:///{file}", connect_args={"timeout": 15})
    event.listen(engine, "connect", _set_up)
    event.listen(engine, "begin", _begin)
    try:
        migrate(engine)
        _settle_kind(engine, file, kind)
    except (DatabaseError, CommandError, StudioUnusable) as error:
        engine.dispose()
        raise _in_a_sentence(error, file) from error
    return engine


def _settle_kind(engine: Engine, file: Path, kind: str) -> None:
    with DatabaseSession(writing(engine)) as rows:
        studio = rows.exec(select(Studio)).first()
        if studio is None:
            rows.add(Studio(kind=kind))
            rows.commit()
        elif studio.kind != kind:
            other = "the demo studio" if studio.kind == "demo" else "your own studio"
            raise StudioUnusable(
                f"The folder {file.parent} already holds {other}. Demo and own data are never mixed: "
                "choose another folder with --data."
            )


def _in_a_sentence(error: Exception, file: Path) -> StudioUnusable:
    if isinstance(error, StudioUnusable):
        return error
    if isinstance(error, CommandError):
        return StudioUnusable(
            f"The records in {file} were written by a later version of the almanac. Start that version, or "
            "choose another folder with --data."
        )
    if isinstance(error, OperationalError):
        return StudioUnusable(
            f"The records in {file} cannot be opened for writing: the folder may be read-only, the disk full, or "
            "another almanac busy with it. Put that right, or choose another folder with --data."
        )
    return StudioUnusable(
        f"{file} is damaged or not the almanac's own file. Put back a copy of it, or choose another folder with --data."
    )


def migrate(engine: Engine, to: str = "head") -> None:
    """Bring the schema to a revision. Each migration runs in one transaction: all of it or none.

    SQLite changes a column by writing its table anew and dropping the old one, which would take with it all rows
    that hang on the table; so foreign keys rest meanwhile, and are checked before the change is kept.
    """
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    with engine.connect() as connection:
        driver: Any = connection.connection.driver_connection
        driver.execute("PRAGMA foreign_keys=OFF")  # without effect once a transaction has begun
        try:
            with connection.begin():
                config.attributes["connection"] = connection
                if not _at_head(connection, config):
                    judged.unwatch(connection)
                    command.upgrade(config, to)
                if _at_head(connection, config):
                    judged.watch(connection)
                if connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
                    raise CommandError("a migration left rows that point to nothing")
        finally:
            driver.execute("PRAGMA foreign_keys=ON")


def _at_head(connection: Connection, config: Config) -> bool:
    revision = MigrationContext.configure(connection).get_current_revision()
    return revision == ScriptDirectory.from_config(config).get_current_head()


def _set_up(connection: Any, _record: Any) -> None:
    # The driver's own habit is to leave schema changes outside transactions; with this, BEGIN is ours.
    connection.isolation_level = None
    for compare in (casefolded, folded):  # SQLite's own lower() knows A to Z alone
        connection.create_function(compare.__name__, 1, compare, deterministic=True)
    cursor = connection.cursor()
    cursor.execute("PRAGMA journal_mode=WAL")
    cursor.execute("PRAGMA synchronous=FULL")
    cursor.execute("PRAGMA foreign_keys=ON")
    cursor.execute("PRAGMA secure_delete=ON")  # what is deleted is overwritten, not merely let go
    cursor.close()


def writing(engine: Engine) -> Engine:
    """Give the engine for a transaction that is going to write: it waits for its turn before it first reads.

    So what it checked (no such alias yet) still holds when it writes, whatever another window does meanwhile.
    """
    return engine.execution_options(**{_WRITING: True})


def is_writing(engine: Engine) -> bool:
    """Say whether an engine is one for transactions that are going to write."""
    return bool(engine.get_execution_options().get(_WRITING, False))


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get(_WRITING, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def forget_log(engine: Engine) -> None:
    """Empty the write-ahead log into the database, so that what was deleted does not stay on in it."""
    connection = engine.raw_connection()
    try:
        connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
    finally:
        connection.close()
