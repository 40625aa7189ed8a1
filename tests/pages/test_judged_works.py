"""What lists show is kept in the database; it must always equal a verdict made anew."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from sqlalchemy import text
from sqlmodel import Session as DatabaseSession

from scripts.simulation.big_studio import BigStudio, fill_studio
from tests.studio import Studio
from webapp.pages.judged_works import fresh, fresh_cycles, stamp
from webapp.pages.judgement import judge_work
from webapp.records import judged_rows, queries
from webapp.settings import Settings


@pytest.fixture
def filled(studio: Studio) -> Studio:
    fill_studio(studio.browser.app.state.engine, BigStudio(clients=8, photos=60, seed=3))
    return studio


def opened(studio: Studio) -> DatabaseSession:
    return DatabaseSession(studio.browser.app.state.engine)


def anew(rows: DatabaseSession, settings: Settings) -> dict[int, tuple[Any, ...]]:
    """Judge everything without the cache."""
    found = {}
    for record in queries.works(rows):
        verdict = judge_work(record, settings)
        present = verdict.cycles[-1].cycle.session if verdict.cycles else None
        found[record.work.id or 0] = (
            verdict.flag,
            None if present is None else (present.kind, present.on, present.family),
            len(record.unfinished),
            {
                (c.cycle.session.key, c.trend.photos, c.trend.own_warmth.per_month, c.trend.own_warmth.se)
                for c in verdict.cycles
                if c.trend is not None
            },
        )
    return found


def kept(rows: DatabaseSession, settings: Settings) -> dict[int, tuple[Any, ...]]:
    cycles: dict[int, set[tuple[Any, ...]]] = {}
    for c in fresh_cycles(rows, settings):
        cycles.setdefault(c.work_id, set()).add((c.session_id, c.photos, *c.rates["own_warmth"]))
    return {
        j.line.work_id: (
            j.flag,
            None if j.present is None else (j.present.kind, j.present.on, j.present.family),
            len(j.line.unfinished),
            cycles.get(j.line.work_id, set()),
        )
        for j in fresh(rows, settings)
    }


CHANGES = (
    "UPDATE measurement SET grade = 'retake' WHERE id % 7 = {n} % 7",
    "UPDATE measurement SET pigment_lab = '[40.0, 9.0, 12.0]' WHERE id = {n}",
    "DELETE FROM follow_up WHERE id = {n}",
    "UPDATE follow_up SET on_date = '2026-01-05' WHERE id = {n}",
    "UPDATE follow_up SET taken_in_because = 'sure of it' WHERE id = {n}",
    "UPDATE session SET on_date = date(on_date, '-40 days') WHERE work_id = 1 + {n} % 8",
    "UPDATE pigment SET family = 'unknown' WHERE id = 1 + {n} % 2",
    "DELETE FROM sessionpigment WHERE session_id = {n}",
    "UPDATE session SET kind = 'removal' WHERE id = {n}",
    "DELETE FROM work WHERE id = {n}",
    "DELETE FROM client WHERE id = {n}",
    "DELETE FROM session WHERE id = {n}",
)


def test_whatever_changes_in_the_rows_the_kept_verdicts_equal_new_ones(filled: Studio) -> None:
    rng = np.random.default_rng(5)
    settings = filled.settings
    with opened(filled) as rows:
        assert kept(rows, settings) == anew(rows, settings) != {}
    for change in rng.permutation(CHANGES):
        with filled.browser.app.state.engine.begin() as connection:
            connection.execute(text(str(change).replace("{n}", str(rng.integers(1, 12)))))
        with opened(filled) as rows:
            assert kept(rows, settings) == anew(rows, settings), change


def test_only_what_is_missing_is_judged_again(filled: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    judged: list[int] = []

    def counted(record: queries.WorkRecord, settings: Settings) -> Any:
        judged.append(record.work.id or 0)
        return judge_work(record, settings)

    monkeypatch.setattr("webapp.pages.judged_works.judge_work", counted)
    with opened(filled) as rows:
        everything = {j.line.work_id for j in fresh(rows, filled.settings)}
    assert set(judged) == everything
    judged.clear()
    with opened(filled) as rows:
        fresh(rows, filled.settings)
    assert judged == []
    with filled.browser.app.state.engine.begin() as connection:
        connection.execute(text("UPDATE measurement SET grade = 'usable' WHERE id = 1"))
        (touched,) = connection.execute(
            text("SELECT work_id FROM follow_up f JOIN measurement m ON m.follow_up_id = f.id WHERE m.id = 1")
        ).one()
    with opened(filled) as rows:
        fresh(rows, filled.settings)
    assert judged == [touched]


def test_other_settings_are_another_way_of_judging(filled: Studio) -> None:
    other = Settings(folder=filled.settings.folder, healing_days=200)
    assert stamp(other) != stamp(filled.settings)
    with opened(filled) as rows:
        fresh(rows, filled.settings)
    with opened(filled) as rows:
        assert kept(rows, other) == anew(rows, other)
    with opened(filled) as rows:
        assert judged_rows.not_judged(rows, stamp(other)) == []


def test_a_page_that_is_amid_writing_keeps_nothing_and_waits_for_no_one(filled: Studio) -> None:
    """Recording consent with an entry missing shows the client again, from within a writing transaction."""
    answer = filled.browser.post("/clients/1/consent", data={"consent_on": "2025-01-10"})
    assert answer.status_code == 422
    with opened(filled) as rows:
        assert judged_rows.verdicts(rows, stamp(filled.settings)) == {}


def test_a_list_is_shown_even_where_nothing_can_be_kept(filled: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    from sqlalchemy.exc import OperationalError

    def full(*_: object) -> None:
        raise OperationalError("INSERT", {}, Exception("database or disk is full"))

    monkeypatch.setattr("webapp.records.judged_rows.keep", full)
    with opened(filled) as rows:
        assert kept(rows, filled.settings) == anew(rows, filled.settings)
