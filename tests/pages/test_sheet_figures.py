"""The studio's own figures on a sheet: of clients who agreed, and of a client who withdrew not a page longer."""

import re
from datetime import date

import pytest
from sqlmodel import Session as DatabaseSession
from sqlmodel import select

from scripts.simulation.big_studio import BigStudio, fill_studio
from tests.page_reading import Page
from tests.studio import Studio
from webapp.pages.judged_works import judge_ahead
from webapp.pages.sheet import make_sheet
from webapp.records.judged_rows import in_statistics
from webapp.records.tables import Work
from webapp.records.words import STUDIO_STATISTICS


@pytest.fixture
def filled(studio: Studio) -> Studio:
    fill_studio(studio.browser.app.state.engine, BigStudio(clients=40, photos=500, agreed=0.8, seed=3))
    judge_ahead(studio.browser.app.state.engine, lambda: studio.settings)
    return studio


def counted(studio: Studio, work: int) -> int:
    words = Page(studio.browser.get(f"/works/{work}/sheet")).words
    found = re.search(r"The studio's own figures, from (\d+) clients who agreed", words)
    return int(found[1]) if found else 0


def work_and_others(studio: Studio) -> tuple[int, list[int]]:
    """A work whose family has figures, and the clients who agreed."""
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        for work in rows.exec(select(Work)):
            sheet = make_sheet(rows, studio.settings, work, date.today())
            if sheet.tends_source.startswith("The studio's own"):
                return work.id or 0, sorted(in_statistics(rows))
    raise AssertionError("no family has figures of its own")


def test_who_withdraws_is_counted_on_no_page_any_more(filled: Studio) -> None:
    work, agreed = work_and_others(filled)
    before, left = counted(filled, work), 0
    assert before >= 5
    for client in agreed:
        filled.browser.post(f"/clients/{client}/withdraw", data={"scope": STUDIO_STATISTICS})
        now = counted(filled, work)
        assert now in (before - left, before - left - 1) or now == 0
        left = before - now
        if now == 0:  # fewer than five speak for nobody: common practice again
            break
    assert left == before
    words = Page(filled.browser.get(f"/works/{work}/sheet")).words
    assert "Common practice, no source; the studio has too few figures of its own." in words


def test_who_agrees_anew_is_counted_again(filled: Studio) -> None:
    work, agreed = work_and_others(filled)
    before = counted(filled, work)
    for client in agreed:
        filled.browser.post(f"/clients/{client}/withdraw", data={"scope": STUDIO_STATISTICS})
        if counted(filled, work) < before:
            sent = {"scopes": STUDIO_STATISTICS, "consent_on": date.today().isoformat()}
            filled.browser.post(f"/clients/{client}/consent", data=sent)
            break
    assert counted(filled, work) == before
