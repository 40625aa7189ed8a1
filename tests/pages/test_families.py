"""The page that compares families and whatever else works can be grouped by."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from scripts.simulation.big_studio import BigStudio, fill_studio
from tests.page_reading import Page
from tests.studio import Studio, close_studio, open_studio
from webapp.pages.judged_works import judge_ahead


def filled(folder: Path, wanted: BigStudio) -> Studio:
    opened = open_studio(folder)
    fill_studio(opened.browser.app.state.engine, wanted)
    judge_ahead(opened.browser.app.state.engine, lambda: opened.settings)
    return opened


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Studio]:
    """A studio of 40 clients whose families truly differ, all of whom agreed to statistics. No test changes it."""
    studio = filled(tmp_path_factory.mktemp("many") / "studio", BigStudio(clients=40, photos=400, agreed=1.1, seed=4))
    yield studio
    close_studio(studio)


def figures(studio: Studio, query: str = "") -> list[dict[str, str]]:
    answer = studio.browser.get(f"/families.csv?{query}")
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(answer.text.removeprefix("\ufeff"))))


def run(studio: Studio, statement: str, **values: Any) -> None:
    with studio.browser.app.state.engine.begin() as connection:
        connection.execute(text(statement), values)


def test_an_empty_studio_is_told_what_is_needed(studio: Studio) -> None:
    page = Page(studio.browser.get("/families"))
    assert "Nothing to compare yet" in page.words
    assert studio.browser.get("/families/rates.svg").status_code == 404
    assert figures(studio) == []


def test_families_that_differ_are_told_apart_in_a_sentence(many: Studio) -> None:
    page = Page(many.browser.get("/families"))
    assert "“inorganic” turns warmer than “carbon/organic” by" in page.words
    assert "Nothing is held equal here" in page.words
    assert "of 40 clients counted" in page.words


def test_artists_who_do_not_differ_are_not_told_apart(many: Studio) -> None:
    """The invented studio's artists are alike in truth; what is said is what is not ruled out."""
    page = Page(many.browser.get("/families?by=artist&adjust=family"))
    assert "can be told apart from chance" in page.words
    assert "are not ruled out" in page.words
    assert "With family held equal: no difference" in page.words


@pytest.mark.parametrize("of", ["own_warmth", "warmth", "lightness", "fading"])
@pytest.mark.parametrize("query", ["by=family", "by=technique&within=family&adjust=hand&adjust=skin", "by=pigment"])
def test_charts_table_and_file_hold_the_same_groups(many: Studio, of: str, query: str) -> None:
    query = f"{query}&of={of}"
    page = Page(many.browser.get(f"/families?{query}"))
    rows = figures(many, query)
    assert rows
    traits = [t.partition("=")[2] for t in query.split("&") if t.startswith(("by", "within"))][::-1]
    for row in rows:
        assert " ".join([*(row[t] for t in traits), row["works"], row["clients"]]) in page.words
        assert (row["too_few_clients"] == "yes") is (int(row["clients"]) < 5)
    charts = [
        f"/families/{name}.svg?{query}&width={w}"
        for name in ("rates", "paths", "half-lives")
        for w in ("wide", "narrow")
    ]
    for chart in charts:
        answer = many.browser.get(chart)
        assert answer.status_code == 200
        assert answer.text.startswith("<svg")
    assert sum(int(row["works"]) for row in rows) == int(page.words.split(" works of ")[0].split()[-1])


def test_the_address_keeps_the_choice_and_the_form_shows_it(many: Studio) -> None:
    query = "by=technique&within=family&of=fading&adjust=hand&adjust=artist"
    answer = many.browser.get(f"/families?{query}")
    page = Page(answer)
    chosen = {"by": "technique", "within": "family", "of": "fading", "adjust": "artist,hand"}
    assert chosen.items() <= page.fields.items()
    escaped = query.replace("&", "&amp;")
    assert f"/families.csv?{escaped}" in answer.text
    assert f"/families/rates.svg?width=wide&amp;{escaped}" in answer.text


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("by=stars", "cannot be grouped by “stars”"),
        ("by=" + "x" * 5000, "cannot be grouped by"),
        ("within=<script>", "cannot be divided by “<script>”"),
        ("by=artist&within=artist", "already by artist"),
        ("of=joy", "no rate called “joy”"),
        ("adjust=weather", "“weather” can be held equal"),
        ("adjust=family", "cannot be held equal"),
        ("by=%00%ff", "cannot be grouped by"),
    ],
)
def test_what_cannot_be_compared_is_said_and_the_rest_is_shown(many: Studio, query: str, said: str) -> None:
    answer = many.browser.get(f"/families?{query}")
    assert answer.status_code == 422
    assert said in Page(answer).words
    assert "The same in figures" in Page(answer).words
    assert "<script>" not in answer.text
    assert many.browser.get(f"/families.csv?{query}").status_code == 200


def test_who_has_not_agreed_to_statistics_is_left_out_everywhere_and_counted(tmp_path: Path) -> None:
    studio = filled(tmp_path / "studio", BigStudio(clients=12, photos=110, agreed=1.1, seed=6))
    everyone = sum(int(row["clients"]) for row in figures(studio))
    before = figures(studio)
    run(studio, "DELETE FROM consent WHERE client_id = 1 AND scope = 'studio statistics'")
    run(studio, "UPDATE consent SET withdrawn_on = '2025-01-01' WHERE client_id = 2 AND scope = 'studio statistics'")
    assert sum(int(row["clients"]) for row in figures(studio)) == everyone - 2
    assert figures(studio) != before
    page = Page(studio.browser.get("/families"))
    assert "of 10 clients counted" in page.words
    assert "2 clients with works that could be counted have not agreed to studio statistics" in page.words
    run(studio, "DELETE FROM consent WHERE scope = 'studio statistics'")
    assert figures(studio) == []
    assert "12 clients with works" in Page(studio.browser.get("/families")).words
    close_studio(studio)


def test_a_new_photo_counts_at_once(tmp_path: Path) -> None:
    studio = filled(tmp_path / "studio", BigStudio(clients=12, photos=110, agreed=1.1, seed=6))
    before = figures(studio)
    assert figures(studio) == before
    run(studio, "UPDATE measurement SET pigment_lab = '[60.0, 20.0, 25.0]' WHERE id = 3")
    after = figures(studio)
    assert after != before
    assert len(after) == len(before)
    close_studio(studio)


def test_what_is_not_the_studios_own_healed_work_is_not_counted(tmp_path: Path) -> None:
    studio = filled(tmp_path / "studio", BigStudio(clients=6, photos=60, agreed=1.1, seed=6))
    assert sum(int(row["clients"]) for row in figures(studio)) == 6
    run(studio, "UPDATE session SET kind = 'earlier work' WHERE work_id IN (SELECT id FROM work WHERE client_id = 1)")
    run(studio, "UPDATE session SET kind = 'removal' WHERE work_id IN (SELECT id FROM work WHERE client_id = 2)")
    assert sum(int(row["clients"]) for row in figures(studio)) == 4
    close_studio(studio)


def test_a_name_that_a_spreadsheet_would_run_is_written_as_text(tmp_path: Path) -> None:
    studio = filled(tmp_path / "studio", BigStudio(clients=4, photos=40, agreed=1.1))
    run(studio, "UPDATE session SET artist = '=1+1'")
    assert {row["artist"] for row in figures(studio, "by=artist")} == {"'=1+1"}
    close_studio(studio)


def test_few_clients_speak_for_nothing(tmp_path: Path) -> None:
    studio = filled(tmp_path / "studio", BigStudio(clients=3, photos=30, agreed=1.1))
    page = Page(studio.browser.get("/families"))
    assert "No group rests on 5 clients or more" in page.words
    assert "too few clients" in page.words
    close_studio(studio)
