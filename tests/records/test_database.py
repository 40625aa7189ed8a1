import os
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError
from sqlmodel import Session as DatabaseSession
from sqlmodel import SQLModel, select

from webapp.records.database import StudioUnusable, open_database, writing
from webapp.records.tables import Client, Consent, Pigment, Session, SessionPigment, Studio, Work


@pytest.fixture
def engine(tmp_path: Path):
    engine = open_database(tmp_path / "almanac.sqlite3", "own")
    yield engine
    engine.dispose()


def pragma(engine, name: str):
    with engine.connect() as connection:
        return connection.execute(text(f"PRAGMA {name}")).scalar()


def test_writes_go_to_a_log_first_and_are_flushed(engine) -> None:
    assert pragma(engine, "journal_mode") == "wal"
    assert pragma(engine, "synchronous") == 2


def test_every_connection_watches_foreign_keys(engine) -> None:
    with engine.connect() as first, engine.connect() as second:
        assert [c.execute(text("PRAGMA foreign_keys")).scalar() for c in (first, second)] == [1, 1]


def test_a_row_for_nobody_is_refused(engine) -> None:
    with DatabaseSession(engine) as rows:
        rows.add(Consent(client_id=7, scope="photo storage", given_on=date(2025, 1, 1)))
        with pytest.raises(IntegrityError, match="FOREIGN KEY"):
            rows.commit()


@pytest.mark.parametrize(
    ("table", "row"),
    [
        (Work, {"client_id": 1, "site": "left knee", "note": "", "created_at": datetime(2025, 1, 1, tzinfo=UTC)}),
        (Pigment, {"name": "Walnut", "family": "herbal"}),
        (Consent, {"client_id": 1, "scope": "everything", "given_on": date(2025, 1, 1)}),
        (Studio, {"kind": "borrowed"}),
    ],
)
def test_a_word_that_is_not_in_the_list_is_refused(engine, table: type[SQLModel], row: dict[str, Any]) -> None:
    with DatabaseSession(engine) as rows:
        rows.add(Client(alias="Robin", created_at=datetime.now(UTC)))
        rows.commit()
        rows.add(table(**row))
        with pytest.raises(IntegrityError, match="CHECK"):
            rows.commit()


def test_what_belongs_to_a_client_goes_with_the_client(engine) -> None:
    with DatabaseSession(engine) as rows:
        client = Client(alias="Robin", created_at=datetime.now(UTC))
        rows.add(client)
        rows.flush()
        work = Work(client_id=client.id, site="left brow", created_at=datetime.now(UTC))
        pigment = Pigment(name="Walnut", family="hybrid")
        rows.add_all([work, pigment])
        rows.flush()
        session = Session(work_id=work.id, kind="first session", on_date=date(2025, 1, 1), technique="other")
        rows.add(session)
        rows.flush()
        rows.add(SessionPigment(session_id=session.id, pigment_id=pigment.id))
        rows.commit()
        rows.delete(client)
        rows.commit()
        assert [rows.exec(select(t)).all() for t in (Work, Session, SessionPigment)] == [[], [], []]
        assert rows.exec(select(Pigment)).one().name == "Walnut"


def test_a_pigment_in_use_cannot_be_deleted_underneath_its_session(engine) -> None:
    with DatabaseSession(engine) as rows:
        rows.add(Client(id=1, alias="Robin", created_at=datetime.now(UTC)))
        rows.add(Pigment(id=1, name="Walnut", family="hybrid"))
        rows.flush()
        rows.add(Work(id=1, client_id=1, site="left brow", created_at=datetime.now(UTC)))
        rows.flush()
        rows.add(Session(id=1, work_id=1, kind="touch-up", on_date=date(2025, 1, 1), technique="other"))
        rows.flush()
        rows.add(SessionPigment(session_id=1, pigment_id=1))
        rows.commit()
    with engine.begin() as connection, pytest.raises(IntegrityError, match="FOREIGN KEY"):
        connection.execute(text("DELETE FROM pigment"))


def test_a_writer_waits_its_turn_before_it_reads(engine) -> None:
    """What a writer has read cannot be changed by another before it writes."""
    with writing(engine).connect() as first, engine.connect() as reader:
        first.execute(text("SELECT count(*) FROM client"))
        assert reader.execute(text("SELECT count(*) FROM client")).scalar() == 0
        reader.rollback()
        reader.exec_driver_sql("PRAGMA busy_timeout = 0")
        with pytest.raises(Exception, match="locked"):
            reader.execute(text("INSERT INTO studio VALUES (2, 'own')"))


@pytest.mark.parametrize(("kind", "other"), [("own", "demo"), ("demo", "own")])
def test_a_folder_of_the_other_kind_is_refused_and_left_alone(tmp_path: Path, kind: str, other: str) -> None:
    file = tmp_path / "almanac.sqlite3"
    open_database(file, kind).dispose()
    with pytest.raises(StudioUnusable, match="never mixed"):
        open_database(file, other)
    open_database(file, kind).dispose()


def test_a_file_that_is_no_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "almanac.sqlite3"
    file.write_bytes(b"not a database, but a letter to grandmother" * 99)
    with pytest.raises(StudioUnusable, match="damaged or not the almanac's"):
        open_database(file, "own")
    assert file.read_bytes().startswith(b"not a database")


def test_records_of_a_later_version_are_refused(tmp_path: Path) -> None:
    file = tmp_path / "almanac.sqlite3"
    engine = open_database(file, "own")
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    engine.dispose()
    with pytest.raises(StudioUnusable, match="later version"):
        open_database(file, "own")


def test_a_place_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    with pytest.raises(StudioUnusable, match="read-only"):
        open_database(tmp_path / "no such folder" / "almanac.sqlite3", "own")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="an administrator may write anywhere")
def test_a_read_only_folder_is_refused(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(StudioUnusable, match="read-only"):
        open_database(tmp_path / "almanac.sqlite3", "own")
    tmp_path.chmod(0o700)
