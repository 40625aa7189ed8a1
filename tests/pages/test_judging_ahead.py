"""A studio of which nothing is judged yet holds no page up, and every page says what it cannot rest on."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import text
from sqlmodel import Session as DatabaseSession

from scripts.simulation.big_studio import BigStudio, fill_studio
from tests.page_reading import Page
from tests.studio import Studio
from webapp.drift.thresholds import Thresholds
from webapp.pages import judged_works
from webapp.pages.judged_works import ON_A_PAGE, fresh_cycles, judge_ahead, judge_some, stamp
from webapp.pages.judgement import judge_work
from webapp.records import judged_rows, queries
from webapp.records.database import writing
from webapp.records.judged import JudgedWork
from webapp.records.tables import Work
from webapp.settings import Settings

RESTS_ON_ALL = ("/", "/due", "/families", "/works/1", "/works/1/sheet", "/works/1/correction", "/clients/1/choose")


@pytest.fixture
def cold(studio: Studio) -> Studio:
    """A studio of more works than a page judges, none of them judged."""
    fill_studio(studio.browser.app.state.engine, BigStudio(clients=40, photos=250, seed=3))
    assert len(studio.rows(Work)) > 2 * ON_A_PAGE
    return studio


@pytest.fixture
def judged(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The works that are judged for what is kept, as they come."""
    works: list[int] = []

    def counted(record: queries.WorkRecord, settings: Settings) -> Any:
        works.append(record.work.id or 0)
        return judge_work(record, settings)

    monkeypatch.setattr("webapp.pages.judged_works.judge_work", counted)
    return works


@pytest.mark.parametrize("path", RESTS_ON_ALL)
def test_a_page_judges_no_more_than_its_share_and_says_what_is_missing(
    cold: Studio, judged: list[int], path: str
) -> None:
    answer = cold.browser.get(path)
    assert answer.status_code == 200
    left = len(cold.rows(Work)) - ON_A_PAGE
    assert f"{left} works are still being judged" in Page(answer).words
    assert len(judged) <= ON_A_PAGE
    judge_ahead(cold.browser.app.state.engine, lambda: cold.settings)
    assert "still being judged" not in Page(cold.browser.get(path)).words


def test_figures_to_take_away_are_never_of_half_the_works(cold: Studio) -> None:
    first = cold.browser.get("/families.csv").text
    judge_ahead(cold.browser.app.state.engine, lambda: cold.settings)
    assert cold.browser.get("/families.csv").text == first
    assert len(cold.rows(JudgedWork)) == len(cold.rows(Work))


def test_what_a_page_has_just_judged_is_on_it(cold: Studio) -> None:
    state = cold.browser.app.state
    with DatabaseSession(state.engine) as rows:
        assert judge_some(rows, state.settings) == len(cold.rows(Work)) - ON_A_PAGE
        assert sum(judged_rows.flag_counts(rows, stamp(state.settings)).values()) == ON_A_PAGE


def test_the_thread_beside_the_pages_judges_all_and_again_once_a_page_misses_verdicts(cold: Studio) -> None:
    ahead, everything = cold.browser.app.state.judging, len(cold.rows(Work))
    ahead.start()
    ahead.stop()
    assert len(cold.rows(JudgedWork)) == everything
    with cold.browser.app.state.engine.begin() as connection:
        connection.execute(text("DELETE FROM judged_work"))
    ahead = type(ahead)(cold.browser.app.state.engine, lambda: cold.settings)
    cold.browser.app.state.judging = ahead
    ahead.start()
    assert cold.browser.get("/due").status_code == 200
    ahead.stop()
    assert len(cold.rows(JudgedWork)) == everything


def test_judging_ahead_follows_settings_that_change_meanwhile(cold: Studio) -> None:
    engine = cold.browser.app.state.engine
    other = Settings(folder=cold.settings.folder, thresholds=Thresholds(density_lost=0.5))
    asked = iter([cold.settings, cold.settings])
    judge_ahead(engine, lambda: next(asked, other))
    with DatabaseSession(engine) as rows:
        assert judged_rows.not_judged(rows, stamp(other)) == []


def test_what_changes_while_a_work_is_judged_is_not_covered_up(cold: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    """A verdict on rows as they were is shown once, and never kept over the change."""
    engine = cold.browser.app.state.engine
    changes = iter(["UPDATE measurement SET grade = 'retake' WHERE id % 2 = 0"])

    def disturbed(record: queries.WorkRecord, settings: Settings) -> Any:
        for change in changes:
            with writing(engine).begin() as connection:
                connection.execute(text(change))
        return judge_work(record, settings)

    monkeypatch.setattr("webapp.pages.judged_works.judge_work", disturbed)
    with DatabaseSession(engine) as rows:
        judge_some(rows, cold.settings)
    assert cold.rows(JudgedWork) == []
    judge_ahead(engine, lambda: cold.settings)
    with DatabaseSession(engine) as rows:
        flags = judged_rows.verdicts(rows, stamp(cold.settings))
        for record in queries.works(rows):
            assert flags[record.work.id or 0][0]["severity"] == judge_work(record, cold.settings).flag.severity


def test_nobody_waits_for_a_lock_while_works_are_judged(cold: Studio) -> None:
    """Another window holds the lock for writing; pages judge all the same, keep nothing and answer."""
    engine = cold.browser.app.state.engine
    with writing(engine).begin() as connection:
        connection.execute(text("UPDATE client SET skin_notes = 'fair' WHERE id = 1"))
        assert cold.browser.get("/families").status_code == 200
        with DatabaseSession(engine) as rows:
            assert len(fresh_cycles(rows, cold.settings)) > 0
    assert cold.rows(JudgedWork) == []


def test_judging_ahead_gives_up_where_nothing_can_be_kept(
    cold: Studio, judged: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    from sqlalchemy.exc import OperationalError

    def full(*_: object) -> None:
        raise OperationalError("INSERT", {}, Exception("database or disk is full"))

    monkeypatch.setattr("webapp.records.judged_rows.keep", full)
    judge_ahead(cold.browser.app.state.engine, lambda: cold.settings)
    assert 0 < len(judged) <= (judged_works._FAILURES + 1) * ON_A_PAGE
