from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine, text
from sqlmodel import Session as DatabaseSession
from sqlmodel import SQLModel, select

from webapp.records.database import open_database
from webapp.records.judged import NOT_WATCHED, RATES, WATCHED, JudgedCycle, JudgedWork

FILL = """
INSERT INTO client (id, alias, skin_notes, skin_type, undertone, age_band, skin_quality, created_at)
  VALUES (1, 'A', '', '', '', '', '', '2025-01-01'), (2, 'B', '', '', '', '', '', '2025-01-01');
INSERT INTO work (id, client_id, site, note, aim_from, aim_note, created_at)
  VALUES (1, 1, 'left brow', '', '', '', '2025-01-01'), (2, 2, 'left brow', '', '', '', '2025-01-01');
INSERT INTO pigment (id, name, shade, maker, label, family, family_because, sites, note)
  VALUES (1, 'P', '', '', '', 'hybrid', '', '[]', ''), (2, 'Q', '', '', '', 'hybrid', '', '[]', '');
INSERT INTO constituent (id, pigment_id, position, text, colour_index, role)
  VALUES (1, 1, 1, 'CI 77491', '77491', 'colourant'), (2, 2, 1, 'CI 77491', '77491', 'colourant');
INSERT INTO session (id, work_id, kind, on_date, day_is_rough, artist, technique, hand, baseline_because, note)
  VALUES (1, 1, 'first session', '2025-01-02', 0, 'K', 'powder brow', '', '', ''),
         (2, 2, 'first session', '2025-01-02', 0, 'K', 'powder brow', '', '', '');
INSERT INTO sessionpigment (session_id, pigment_id) VALUES (1, 1), (2, 2);
INSERT INTO card (id, name, patches, values_known, note) VALUES (1, 'C', '[]', 0, ''), (2, 'D', '[]', 0, '');
INSERT INTO photofile (id, client_id, sha256, size, width, height, stored_at)
  VALUES (1, 1, 'a', 1, 1, 1, '2025-01-01'), (2, 2, 'b', 1, 1, 1, '2025-01-01'), (3, 1, 'c', 1, 1, 1, '2025-01-01');
INSERT INTO follow_up
  (id, work_id, photo_id, card_id, on_date, note, card_patches, outline, outline_from, taken_in_because, created_at)
  VALUES (1, 1, 1, 1, '2025-03-01', '', '[]', '[]', '', '', '2025-03-01'),
         (2, 2, 2, 2, '2025-03-01', '', '[]', '[]', '', '', '2025-03-01'),
         (3, 1, 3, 2, '2025-04-01', '', '[]', '[]', '', '', '2025-03-01');
INSERT INTO measurement
  (id, follow_up_id, pigment_lab, pigment_spread, pigment_shared, pigment_pixels, skin_pixels, grade, reasons, patches,
   residual, method, measured_at)
  VALUES (1, 1, '[]', '[]', '[]', 1, 0, 'good', '[]', 1, 0, '', '2025-03-01'),
         (2, 2, '[]', '[]', '[]', 1, 0, 'good', '[]', 1, 0, '', '2025-03-01');
"""
JUDGED = """
INSERT INTO judged_work (work_id, stamp, flag, present) VALUES (1, 's', '{}', '{}'), (2, 's', '{}', '{}');
INSERT INTO judged_cycle
  (id, work_id, session_id, kind, on_date, technique, artist, hand, family, pigments, photos, months)
  VALUES (1, 1, 1, 'first session', '2025-01-02', '', '', '', '', '', 3, 9), (2, 2, 2, '', '2025-01-02', '', '', '',
   '', '', 3, 9);
"""


def run(engine: Engine, script: str) -> None:
    with engine.begin() as connection:
        for statement in script.split(";"):
            if statement.strip():
                connection.execute(text(statement))


def kept(engine: Engine) -> set[int]:
    """Give the works still judged; their cycles go with them."""
    with DatabaseSession(engine) as rows:
        works = set(rows.exec(select(JudgedWork.work_id)))
        assert set(rows.exec(select(JudgedCycle.work_id))) == works
        return works


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    opened = open_database(tmp_path / "a.sqlite3", "own")
    run(opened, FILL)
    run(opened, JUDGED)
    assert kept(opened) == {1, 2}
    yield opened
    opened.dispose()


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE client SET skin_quality = 'thin' WHERE id = 1",
        "DELETE FROM client WHERE id = 1",
        "UPDATE work SET note = 'x' WHERE id = 1",
        "DELETE FROM work WHERE id = 1",
        "UPDATE session SET on_date = '2025-01-03' WHERE id = 1",
        "DELETE FROM session WHERE id = 1",
        "INSERT INTO session (work_id, kind, on_date, day_is_rough, artist, technique, hand, baseline_because, note) "
        "VALUES (1, 'touch-up', '2025-06-01', 0, '', 'other', '', '', '')",
        "DELETE FROM sessionpigment WHERE session_id = 1",
        "INSERT INTO sessionpigment (session_id, pigment_id) VALUES (1, 2)",
        "UPDATE sessionpigment SET parts = 2 WHERE session_id = 1",
        "UPDATE pigment SET family = 'inorganic' WHERE id = 1",
        "UPDATE constituent SET colour_index = '77266' WHERE id = 1",
        "UPDATE follow_up SET taken_in_because = 'x' WHERE id = 1",
        "DELETE FROM follow_up WHERE id = 1",
        "DELETE FROM photofile WHERE id = 1",
        "UPDATE measurement SET pigment_lab = '[1]' WHERE id = 1",
        "DELETE FROM measurement WHERE id = 1",
        "INSERT INTO measurement (follow_up_id, pigment_lab, pigment_spread, pigment_shared, pigment_pixels, "
        "skin_pixels, grade, reasons, patches, residual, method, measured_at) "
        "VALUES (3, '[]', '[]', '[]', 1, 0, 'good', '[]', 1, 0, '', '2025-04-01')",
        "UPDATE card SET patches = '[[1, 0, 0]]' WHERE id = 1",
    ],
)
def test_a_change_forgets_the_works_that_it_touches_and_no_other(engine: Engine, change: str) -> None:
    run(engine, change)
    assert kept(engine) == {2}


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE work SET client_id = 2 WHERE id = 1",
        "UPDATE session SET work_id = 2 WHERE id = 1",
        "UPDATE follow_up SET work_id = 2 WHERE id = 1",
    ],
)
def test_what_moves_from_one_work_to_another_touches_both(engine: Engine, change: str) -> None:
    run(engine, change)
    assert 1 not in kept(engine)
    assert ("work SET" in change) or kept(engine) == set()


def test_a_changed_setting_forgets_all(engine: Engine) -> None:
    run(engine, "INSERT INTO studiosetting (name, value) VALUES ('healing_days', '35')")
    assert kept(engine) == set()


@pytest.mark.parametrize(
    "change",
    [
        "INSERT INTO consent (client_id, scope, given_on, note) VALUES (1, 'studio statistics', '2025-01-01', '')",
        "INSERT INTO client (alias, skin_notes, skin_type, undertone, age_band, skin_quality, created_at) "
        "VALUES ('C', '', '', '', '', '', '2025-01-01')",
    ],
)
def test_what_no_verdict_hangs_on_forgets_nothing(engine: Engine, change: str) -> None:
    run(engine, change)
    assert kept(engine) == {1, 2}


def test_every_table_is_either_watched_or_known_not_to_matter() -> None:
    """A new table fails here until someone has thought about it."""
    assert set(SQLModel.metadata.tables) == set(WATCHED) | NOT_WATCHED


def test_a_start_keeps_what_was_judged_unless_the_triggers_were_gone(tmp_path: Path, engine: Engine) -> None:
    open_database(tmp_path / "a.sqlite3", "own").dispose()
    assert kept(engine) == {1, 2}
    run(engine, "DROP TRIGGER judged_measurement_update")
    open_database(tmp_path / "a.sqlite3", "own").dispose()
    assert kept(engine) == set()
    run(engine, JUDGED)
    run(engine, "UPDATE measurement SET grade = 'usable' WHERE id = 1")
    assert kept(engine) == {2}


def test_every_rate_has_its_two_columns() -> None:
    columns = JudgedCycle.model_fields
    assert all(rate in columns and f"{rate}_se" in columns for rate in RATES)
