from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.page_reading import Page, refused
from tests.properties import steady
from tests.studio import Studio
from webapp.pages.contraindications import ANSWERS, QUESTIONS, answer, needs_care, parted
from webapp.records.tables import Questioning

ASKED = {"asked_on": "2025-05-01", "question_note": "", **dict.fromkeys(QUESTIONS, "no")}


def test_answers_are_kept_with_their_day(studio: Studio) -> None:
    studio.add_client()
    sent = ASKED | {"blood": "yes", "blood_detail": "aspirin", "eyes": "not asked", "eyes_detail": ""}
    assert studio.browser.post("/clients/1/questions", data=sent).status_code == 303
    kept = studio.rows(Questioning)[0]
    assert kept.asked_on == date(2025, 5, 1)
    assert (kept.answers["blood"], kept.answers["mole"]) == ("yes: aspirin", "no")
    assert "eyes" not in kept.answers
    page = Page(studio.browser.get("/clients/1/questions"))
    assert "Answered with yes: Blood thinners, or bleeding that is slow to stop. Ask a doctor" in page.words
    assert "Common practice, no source" in page.words
    assert "Answered with yes: Blood thinners" in Page(studio.browser.get("/clients/1")).words


def test_a_change_is_a_new_asking_that_starts_from_the_last(studio: Studio) -> None:
    studio.add_client()
    studio.browser.post("/clients/1/questions", data=ASKED | {"blood": "yes", "blood_detail": "aspirin"})
    form = Page(studio.browser.get("/clients/1/questions")).fields
    assert (form["blood"], form["blood_detail"], form["mole"]) == ("yes", "aspirin", "no")
    studio.browser.post(
        "/clients/1/questions", data=form | {"asked_on": "2025-09-01", "blood": "no", "blood_detail": ""}
    )
    assert [q.answers["blood"] for q in studio.rows(Questioning)] == ["yes: aspirin", "no"]
    page = Page(studio.browser.get("/clients/1/questions"))
    assert "Last asked on 1 Sep 2025" in page.words
    assert "Asked before: 1 time" in page.words
    assert "yes: aspirin" in page.words


TOMORROW = (date.today() + timedelta(days=1)).isoformat()


@pytest.mark.parametrize(
    ("field", "entry"),
    [
        ("asked_on", TOMORROW),
        ("asked_on", ""),
        ("mole", "perhaps"),
        ("mole_detail", "m" * 301),
        ("question_note", "n" * 2001),
    ],
)
def test_a_wrong_entry_is_named_and_the_rest_is_kept(studio: Studio, field: str, entry: str) -> None:
    studio.add_client()
    sent = ASKED | {"blood": "yes", "blood_detail": "aspirin", field: entry}
    page = refused(studio.browser.post("/clients/1/questions", data=sent), field)
    assert (page.fields["blood"], page.fields["blood_detail"]) == ("yes", "aspirin")
    assert studio.rows(Questioning) == []


def test_an_empty_form_is_not_kept(studio: Studio) -> None:
    studio.add_client()
    sent = {"asked_on": "2025-05-01", "question_note": "", **dict.fromkeys(QUESTIONS, "not asked")}
    refused(studio.browser.post("/clients/1/questions", data=sent), "asked_on")


@steady
@given(word=st.sampled_from(ANSWERS), detail=st.text(max_size=20).map(str.strip))
def test_an_answer_comes_back_as_it_was_given(word: str, detail: str) -> None:
    if word == "not asked" and parted(detail)[0] != "not asked":
        return  # words of her own that read like an answer are one
    assert parted(answer(word, detail)) == (word, detail)


def test_a_patch_test_that_was_done_is_no_caution() -> None:
    assert needs_care({"patch_test": "yes: calm", "mole": "yes", "own": "yes: x", "blood": "no"}) == ["mole", "own"]
