import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine, inspect, text
from sqlalchemy.exc import OperationalError
from sqlmodel import SQLModel

from webapp.records import judged, tables
from webapp.records.database import MIGRATIONS, migrate, open_database


def differences(engine):
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        return compare_metadata(context, SQLModel.metadata)


def test_the_migrations_lead_from_nothing_to_the_tables_as_they_are_written(tmp_path: Path) -> None:
    engine = open_database(tmp_path / "a.sqlite3", "own")
    assert tables
    assert differences(engine) == []
    engine.dispose()


def test_a_difference_would_be_seen(tmp_path: Path) -> None:
    engine = open_database(tmp_path / "a.sqlite3", "own")
    with engine.begin() as connection:
        connection.execute(text("ALTER TABLE client ADD COLUMN surplus INTEGER"))
    assert differences(engine)
    engine.dispose()


def test_the_checks_on_words_are_those_of_the_tables(tmp_path: Path) -> None:
    """The comparison above does not look at CHECK constraints."""
    migrated = open_database(tmp_path / "a.sqlite3", "own")
    written = create_engine("sqlite://")
    SQLModel.metadata.create_all(written)
    for table in SQLModel.metadata.tables:
        both = [
            {(c["name"], " ".join(c["sqltext"].split())) for c in inspect(e).get_check_constraints(table)}
            for e in (migrated, written)
        ]
        assert both[0] == both[1], table
    migrated.dispose()
    written.dispose()


def test_a_second_start_changes_nothing(tmp_path: Path) -> None:
    open_database(tmp_path / "a.sqlite3", "own").dispose()
    engine = open_database(tmp_path / "a.sqlite3", "own")
    with engine.connect() as connection:
        assert connection.execute(text("SELECT kind FROM studio")).all() == [("own",)]
        assert connection.execute(text("SELECT count(*) FROM alembic_version")).scalar() == 1
    engine.dispose()


def test_a_migration_that_fails_leaves_nothing_half_done(tmp_path: Path) -> None:
    engine = open_database(tmp_path / "a.sqlite3", "own")
    with engine.begin() as connection:  # as if the last table had been there before the first start
        judged.unwatch(connection)
        connection.execute(text("DROP TABLE alembic_version"))
        for name in reversed(SQLModel.metadata.sorted_tables):
            if name.name != "sessionpigment":
                connection.execute(text(f'DROP TABLE "{name.name}"'))
    before = inspect(engine).get_table_names()
    with pytest.raises(OperationalError, match="already exists"):
        migrate(engine)
    assert inspect(engine).get_table_names() == before == ["sessionpigment"]
    engine.dispose()


FIRST_LANDING = Path(__file__).with_name("first_landing.sql")
"""The first landing's database, filled with the invented demo studio, as text."""


def test_the_first_landings_rows_come_through_every_migration(tmp_path: Path) -> None:
    file = tmp_path / "a.sqlite3"
    with closing(sqlite3.connect(file)) as first:
        first.executescript(FIRST_LANDING.read_text(encoding="utf-8"))
        before = {t: first.execute(f'SELECT * FROM "{t}" ORDER BY 1, 2').fetchall() for t in _tables(first)}
        columns = {t: [c[1] for c in first.execute(f'PRAGMA table_info("{t}")')] for t in before}
    assert len(before["measurement"]) == 55
    engine = open_database(file, "demo")
    assert differences(engine) == []
    with engine.connect() as connection:
        for table, rows in before.items():
            names = ", ".join(f'"{c}"' for c in columns[table])
            kept = connection.execute(text(f'SELECT {names} FROM "{table}" ORDER BY 1, 2')).all()
            assert [tuple(r) for r in kept] == rows, table
        assert connection.execute(text("PRAGMA foreign_keys")).scalar() == 1
    engine.dispose()


def _tables(database: sqlite3.Connection) -> list[str]:
    names = database.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name != 'alembic_version'")
    return [name for (name,) in names]


def test_there_is_one_line_of_migrations() -> None:
    assert len(ScriptDirectory(str(MIGRATIONS)).get_heads()) == 1
