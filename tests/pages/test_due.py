from datetime import date, timedelta

import pytest
from sqlmodel import Session as DatabaseSession

from tests.page_reading import Page
from tests.studio import Studio
from webapp.pages.judged_works import judge_ahead, judge_some
from webapp.records.judged import JudgedWork
from webapp.records.tables import StudioSetting

TODAY = date.today()
INTERVALS = {"healed_check_days": "42", "photo_months": "12", "boost_months": "18", "ahead_days": "14"}


def days_ago(days: int) -> str:
    return (TODAY - timedelta(days=days)).isoformat()


def words(studio: Studio, path: str = "/due") -> str:
    answer = studio.browser.get(path)
    assert answer.status_code == 200, answer.text
    return Page(answer).words


@pytest.fixture
def bare_work(studio: Studio) -> int:
    return studio.add_work(studio.add_client("Robin"))


def test_a_session_without_a_healed_photo_is_due_for_a_check(studio: Studio, bare_work: int) -> None:
    studio.add_session(bare_work, on=days_ago(60))
    for path in ("/due", "/"):
        assert f"Robin, left brow : worked on {(TODAY - timedelta(days=60)).day} " in words(studio, path)
    photo = studio.add_photo(bare_work, on=days_ago(10))
    assert "waiting" in words(studio, "/clients/1")
    assert "is stored and not yet measured" in words(studio)
    studio.measure(photo, on=days_ago(10))
    assert "worked on" not in words(studio)
    assert "is stored and not yet measured" not in words(studio)


def test_a_photo_is_asked_for_only_with_consent(studio: Studio) -> None:
    for alias, consent in (("Robin", True), ("Kestrel", False)):
        studio.add_session(studio.add_work(studio.add_client(alias, consent=consent)), on=days_ago(500))
    told = words(studio)
    assert "Robin, left brow : no photo yet; due since" in told
    assert "Kestrel, left brow : no photo yet" not in told


def test_a_colour_boost_goes_by_date_while_no_photo_foresees_it(studio: Studio, bare_work: int) -> None:
    studio.add_session(bare_work, on=days_ago(600))
    assert "due by date, since" in words(studio)


def test_earlier_work_of_someone_else_is_due_for_nothing(studio: Studio, bare_work: int) -> None:
    studio.add_session(bare_work, on=days_ago(900), kind="earlier work")
    told = words(studio)
    assert "Robin" not in told.partition("Left half-finished")[0].partition("Healed check")[2]


def test_an_expired_bottle_is_named(studio: Studio, bare_work: int) -> None:
    studio.add_session(bare_work, on=days_ago(5))
    answer = studio.browser.post("/pigments/1/bottles/new", data={"batch": "L7", "expires": days_ago(3)})
    assert answer.status_code == 303, answer.text
    assert "batch L7" in words(studio)
    assert "expired" in words(studio, "/")


def test_the_studios_own_intervals_count(studio: Studio, bare_work: int) -> None:
    studio.add_session(bare_work, on=days_ago(60))
    assert studio.browser.post("/due/intervals", data=INTERVALS | {"healed_check_days": "90"}).status_code == 303
    assert "healed check 90 days after" in words(studio)
    assert "worked on" not in words(studio)
    assert {s.name: s.value for s in studio.rows(StudioSetting)} == {"due_healed_check_days": 90}
    studio.browser.post("/due/intervals", data=INTERVALS)
    assert studio.rows(StudioSetting) == []


@pytest.mark.parametrize(
    ("name", "entry", "sentence"),
    [
        ("healed_check_days", "3", "from 28 to 180"),
        ("photo_months", "often", "from 1 to 60"),
        ("boost_months", "7.5", "a whole number"),
        ("ahead_days", "", "from 0 to 90"),
    ],
)
def test_a_wrong_interval_is_named_and_the_rest_kept(studio: Studio, name: str, entry: str, sentence: str) -> None:
    answer = studio.browser.post("/due/intervals", data=INTERVALS | {name: entry})
    page = Page(answer)
    assert answer.status_code == 422
    assert sentence in page.words
    assert {k: page.fields[k] for k in INTERVALS} == INTERVALS | {name: entry}
    assert studio.rows(StudioSetting) == []


def test_works_that_wait_to_be_judged_are_counted_and_judged_beside_the_pages(studio: Studio, bare_work: int) -> None:
    for alias in ("Kestrel", "Merlin"):
        studio.add_work(studio.add_client(alias))
    state = studio.browser.app.state
    with DatabaseSession(state.engine) as rows:
        assert judge_some(rows, state.settings, at_most=1) == 2
    assert len(studio.rows(JudgedWork)) == 1
    judge_ahead(state.engine, lambda: state.settings)
    assert len(studio.rows(JudgedWork)) == 3
