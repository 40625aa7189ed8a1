"""What went into a session: pigments with bottle and parts, dilution, hand; and the work of someone else."""

import pytest
from sqlmodel import Session as DatabaseSession

from tests.page_reading import Page, refused
from tests.studio import SESSION, Studio
from webapp.pages.judgement import judge_work
from webapp.records import queries
from webapp.records.tables import Session, SessionPigment

MIX = SESSION | {"new_pigment": "", "new_pigment_family": ""}


@pytest.fixture
def shelf(studio: Studio) -> int:
    """A work, and two pigments with a bottle each, the second expired; gives the work."""
    for name, label in (("Oak", "CI 77491"), ("Ink", "CI 77266, CI 74160")):
        pigment = studio._sent("/pigments", {"name": name, "label": label})
        studio.browser.post(f"/pigments/{pigment}/bottles/new", data={"batch": f"{name}-1", "expires": "2021-03"})
    studio.browser.post("/bottles/1", data={"batch": "Oak-1", "expires": "2099-03"})
    return studio.add_work(studio.add_client())


def send(studio: Studio, work: int, **entries):
    return studio.browser.post(f"/works/{work}/sessions/new", data=MIX | entries)


def used(studio: Studio) -> list[tuple[int, int | None, float | None]]:
    return [(u.pigment_id, u.bottle_id, u.parts) for u in studio.rows(SessionPigment)]


def test_two_bottles_with_their_parts_are_kept_and_shown_again(studio: Studio, shelf: int) -> None:
    entries = {"pigments": ["1-1", "2-2", ""], "parts": ["2", "0,5", ""], "diluted": "1", "hand": "light"}
    assert send(studio, shelf, **entries).status_code == 303
    assert used(studio) == [(1, 1, 2.0), (2, 2, 0.5)]
    session = studio.rows(Session)[0]
    assert (session.diluted_parts, session.hand) == (1.0, "light")
    page = studio.browser.get("/sessions/1").text
    assert '<option value="1-1" selected>' in page
    assert 'value="0.5"' in page
    assert "2 parts Oak" in Page(studio.browser.get("/clients/1/history")).words


def test_bottle_parts_dilution_and_hand_may_stay_empty(studio: Studio, shelf: int) -> None:
    assert send(studio, shelf, pigments="1").status_code == 303
    assert used(studio) == [(1, None, None)]


@pytest.mark.parametrize(
    ("entries", "field"),
    [
        ({"pigments": ["1-1"], "parts": ["none"]}, "parts_1"),
        ({"pigments": ["1-1"], "parts": ["-2"]}, "parts_1"),
        ({"pigments": ["1-1"], "parts": ["nan"]}, "parts_1"),
        ({"pigments": ["1-1", ""], "parts": ["1", "2"]}, "pigments_2"),
        ({"pigments": ["1-1", "1"], "parts": ["1", "2"]}, "pigments_2"),
        ({"pigments": ["1-2"]}, "pigments"),
        ({"pigments": ["9"]}, "pigments"),
        ({"pigments": ["1-"]}, None),
        ({"pigments": ["1"], "diluted": "much"}, "diluted"),
        ({"pigments": ["1"], "hand": "iron"}, "hand"),
        ({"pigments": ["1"], "new_pigment_parts": "0"}, "new_pigment_parts"),
    ],
)
def test_a_wrong_entry_is_named_and_nothing_is_stored(studio: Studio, shelf: int, entries, field: str | None) -> None:
    answer = send(studio, shelf, note="kept", **entries)
    if field is None:
        assert answer.status_code == 303
        return
    page = refused(answer, field)
    assert page.fields["note"] == "kept"
    assert studio.rows(Session) == []


def test_entries_stay_after_an_error(studio: Studio, shelf: int) -> None:
    entries = {"pigments": ["1-1", "2-2"], "parts": ["2", "x"], "diluted": "1", "hand": "heavy", "rough": "yes"}
    answer = send(studio, shelf, **entries)
    page = refused(answer, "parts_2")
    assert '<option value="1-1" selected>' in answer.text
    assert 'value="2-2" data-caution' in answer.text
    assert (page.fields["hand"], page.fields["diluted"], page.fields["rough"]) == ("heavy", "1", "yes")
    assert 'id="parts_2" value="x"' in answer.text


def test_more_lines_are_given_without_losing_entries(studio: Studio, shelf: int) -> None:
    answer = send(studio, shelf, pigments=["1-1", "", ""], parts=["2", "", ""], more="yes", note="so far")
    assert answer.status_code == 200
    assert answer.text.count('name="parts"') == 5
    assert '<option value="1-1" selected>' in answer.text
    assert Page(answer).fields["note"] == "so far"
    assert studio.rows(Session) == []


def test_an_expired_bottle_and_a_restricted_colourant_are_told_where_they_are_chosen(
    studio: Studio, shelf: int
) -> None:
    fresh = studio.browser.get(f"/works/{shelf}/sessions/new").text
    assert "Ink, batch Ink-1: expired" in fresh
    assert "This bottle expired on 31 Mar 2021." in fresh
    assert "is restricted in the EU" in fresh
    assert "batch Oak-1: " not in fresh
    send(studio, shelf, pigments=["2-2"], on="2025-02-01")
    chosen = studio.browser.get("/sessions/1").text
    assert 'data-caution-here role="status">This bottle expired' in chosen


def test_a_bottle_is_judged_by_the_day_of_the_session(studio: Studio, shelf: int) -> None:
    send(studio, shelf, pigments=["2-2"], on="2020-02-01")
    assert "Ink-1: expired" not in studio.browser.get("/sessions/1").text


def test_a_deleted_bottle_leaves_the_pigment_in_the_session(studio: Studio, shelf: int) -> None:
    send(studio, shelf, pigments=["1-1"], parts=["1"])
    studio.browser.post("/bottles/1", data={"delete": "yes"})
    assert used(studio) == [(1, None, 1.0)]


def test_a_new_pigment_joins_the_mix_with_its_parts(studio: Studio, shelf: int) -> None:
    send(
        studio,
        shelf,
        pigments="1-1",
        parts="2",
        new_pigment="Rust",
        new_pigment_family="inorganic",
        new_pigment_parts="3",
    )
    assert used(studio) == [(1, 1, 2.0), (3, None, 3.0)]


def test_earlier_work_needs_no_pigment_and_begins_a_cycle_of_unknown_family(studio: Studio, shelf: int) -> None:
    assert send(studio, shelf, kind="earlier work", on="2019-07-01", rough="yes").status_code == 303
    send(studio, shelf, kind="correction", on="2025-07-01", pigments="1-1")
    assert [s.day_is_rough for s in studio.rows(Session)] == [True, False]
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        verdict = judge_work(queries.works(rows, [shelf])[0], studio.settings)
    assert [c.cycle.session.kind for c in verdict.cycles] == ["earlier work", "correction"]
    assert verdict.cycles[0].cycle.session.family == "unknown"
    assert "about 1 Jul 2019" in Page(studio.browser.get(f"/works/{shelf}")).words
