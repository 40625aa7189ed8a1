import pytest

from tests.page_reading import Page, refused
from tests.studio import Studio
from tests.synthetic import draw_photo
from webapp.records.tables import Session


@pytest.fixture
def twice(studio: Studio, measured: int) -> Studio:
    second = studio.add_photo(1, "2025-08-01", draw_photo(seed=5))
    studio.measure(second, on="2025-08-01")
    return studio


def test_the_first_sound_photo_is_the_baseline_until_another_is_set(twice: Studio) -> None:
    assert "Baseline: 1 Apr 2025" in Page(twice.browser.get("/works/1")).words
    answer = twice.browser.post("/sessions/1/baseline", data={"baseline": "2", "because": "the first was in shadow"})
    assert answer.headers["location"] == "/works/1#cycle-1"
    page = Page(twice.browser.get("/works/1"))
    assert "Baseline: 1 Aug 2025, set by you" in page.words
    assert "the first was in shadow" in page.words
    assert "Change against the baseline of 1 Aug 2025" in page.words


def test_it_can_be_taken_back(twice: Studio) -> None:
    twice.browser.post("/sessions/1/baseline", data={"baseline": "2", "because": "try"})
    twice.browser.post("/sessions/1/baseline", data={"take_back": "yes"})
    assert "Baseline: 1 Apr 2025" in Page(twice.browser.get("/works/1")).words
    session = twice.rows(Session)[0]
    assert (session.baseline_follow_up_id, session.baseline_because) == (None, "")


def test_without_a_reason_nothing_changes_and_the_choice_is_kept(twice: Studio) -> None:
    page = refused(twice.browser.post("/sessions/1/baseline", data={"baseline": "2", "because": " "}), "because")
    assert page.fields["baseline"] == "2"
    assert twice.rows(Session)[0].baseline_follow_up_id is None


@pytest.mark.parametrize("junk", ["99", "-1", "x", ""])
def test_a_photo_of_another_cycle_is_no_choice(twice: Studio, junk: str) -> None:
    page = refused(twice.browser.post("/sessions/1/baseline", data={"baseline": junk, "because": "why"}), "baseline")
    assert page.fields["because"] == "why"


def test_a_session_that_is_not_there_has_no_baseline(studio: Studio) -> None:
    assert studio.browser.post("/sessions/77/baseline", data={"baseline": "1", "because": "x"}).status_code == 404


def test_the_verdict_opens_to_its_numbers(twice: Studio) -> None:
    words = Page(twice.browser.get("/works/1")).words
    assert "Judged by 2 photos: 1 Apr 2025 (baseline), 1 Aug 2025." in words
    assert "Rates a year, with their 95 % intervals" in words
    assert "common practice, no source" in words
    assert "what would change it" in words


def test_a_touch_up_begins_a_cycle_that_is_joined_to_the_one_before(twice: Studio) -> None:
    twice.add_session(1, on="2025-09-01", kind="touch-up", new_pigment="", pigments="1")
    third = twice.add_photo(1, "2025-11-01", draw_photo(seed=6))
    twice.measure(third, on="2025-11-01")
    words = Page(twice.browser.get("/works/1")).words
    assert "From the last photo before (1 Aug 2025) to the baseline after (1 Nov 2025): ΔE00" in words
