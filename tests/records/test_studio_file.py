import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import JSON, Engine, text

from tests.records.test_migrations import FIRST_LANDING
from webapp.records.database import open_database, writing
from webapp.records.studio_file import StudioFileUnusable, kept_tables, read_studio, write_studio


@pytest.fixture
def full(tmp_path: Path):
    """The first landing's invented studio, migrated."""
    with closing(sqlite3.connect(tmp_path / "full.sqlite3")) as first:
        first.executescript(FIRST_LANDING.read_text(encoding="utf-8"))
    engine = open_database(tmp_path / "full.sqlite3", "demo")
    yield engine
    engine.dispose()


@pytest.fixture
def empty(tmp_path: Path):
    engine = open_database(tmp_path / "empty.sqlite3", "own")
    yield engine
    engine.dispose()


def written(engine: Engine) -> Any:
    with engine.connect() as connection:
        return json.loads(json.dumps(write_studio(connection)))


def taken_in(engine: Engine, told: Any) -> dict[str, int]:
    with writing(engine).begin() as connection:
        return read_studio(connection, told)


def test_what_is_written_comes_back_to_the_same_rows(full: Engine, empty: Engine) -> None:
    told = written(full)
    counts = taken_in(empty, told)
    assert counts["measurement"] == 55
    assert counts == {t.name: len(told["tables"][t.name]) for t in kept_tables()}
    for table in kept_tables():
        both = [e.connect().execute(table.select().order_by(*table.primary_key.columns)).all() for e in (full, empty)]
        assert both[0] == both[1], table.name
    assert written(empty) == told


def test_the_folder_stays_its_owners(full: Engine, empty: Engine) -> None:
    taken_in(empty, written(full))
    with empty.connect() as connection:
        assert connection.execute(text("SELECT kind FROM studio")).scalar() == "own"


def test_a_studio_written_under_the_first_schema_is_brought_forward(
    full: Engine, empty: Engine, tmp_path: Path
) -> None:
    first = sqlite3.connect(tmp_path / "first.sqlite3")
    first.executescript(FIRST_LANDING.read_text(encoding="utf-8"))
    first.row_factory = sqlite3.Row
    names = [n for (n,) in first.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    tables = {n: [dict(r) for r in first.execute(f'SELECT * FROM "{n}"')] for n in names if n != "alembic_version"}
    for table in kept_tables():  # JSON columns lie as text in the file, and as themselves in a written studio
        for row in tables.get(table.name, []):
            for column in row:
                if isinstance(table.columns[column].type, JSON) and row[column] is not None:
                    row[column] = json.loads(row[column])
    first.close()
    told = {"format": "healed colour almanac, whole studio", "schema": "0001", "tables": tables}
    taken_in(empty, json.loads(json.dumps(told)))
    assert written(empty)["tables"] == written(full)["tables"]


def test_a_studio_with_clients_is_not_mixed_with_another(full: Engine) -> None:
    with pytest.raises(StudioFileUnusable, match="not mixed"):
        taken_in(full, written(full))


@pytest.mark.parametrize(
    "told", [None, [], {}, {"format": "another"}, {"format": "healed colour almanac, whole studio"}]
)
def test_another_file_is_told_from_a_studio(empty: Engine, told: object) -> None:
    with pytest.raises(StudioFileUnusable, match="not a studio"):
        taken_in(empty, told)


def test_a_later_schema_is_left_to_its_version(full: Engine, empty: Engine) -> None:
    with pytest.raises(StudioFileUnusable, match="later version"):
        taken_in(empty, written(full) | {"schema": "9999"})


def spoilt(told: Any, how: str) -> Any:
    tables = told["tables"]
    if how == "a row that points to nothing":
        tables["work"][0]["client_id"] = 4711
    elif how == "a word that is in no list":
        tables["work"][0]["site"] = "left knee"
    elif how == "a column that is in no table":
        tables["client"][0]["shoe_size"] = 39
    elif how == "a day that is none":
        tables["session"][0]["on_date"] = "yesterday"
    elif how == "a row that is none":
        tables["client"][0] = "Robin"
    else:
        tables["client"] = 7
    return told


@pytest.mark.parametrize(
    "how",
    [
        "a row that points to nothing",
        "a word that is in no list",
        "a column that is in no table",
        "a day that is none",
        "a row that is none",
        "no rows at all",
    ],
)
def test_what_does_not_hold_together_is_refused_and_leaves_nothing(full: Engine, empty: Engine, how: str) -> None:
    before = written(empty)
    with pytest.raises(StudioFileUnusable, match="do not hold together"):
        taken_in(empty, spoilt(written(full), how))
    assert written(empty) == before
