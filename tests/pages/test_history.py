"""The history of a client, and her skin over time."""

from datetime import date

import pytest
from sqlmodel import Session as DatabaseSession

from tests.page_reading import Page
from tests.studio import Studio
from tests.synthetic import Look, draw_photo
from webapp.pages.contraindications import QUESTIONS
from webapp.pages.mix_words import mix_words
from webapp.records.history import Ingredient, constituents, mixes
from webapp.records.tables import Bottle, Constituent, Pigment, Session, SessionPigment, Work


@pytest.fixture
def told(studio: Studio, measured: int) -> Studio:
    """A measured brow with a mixed session, a later photo, answers, an aim; and a second work."""
    for on, brow, seed in (("2025-07-15", (135, 92, 70), 3), ("2025-11-15", (148, 93, 62), 4)):
        studio.measure(studio.add_photo(1, on, draw_photo(Look(brow=brow), seed=seed)), on=on)
    studio.browser.post("/clients/1/works/new", data={"site": "right brow", "note": "asked for by the client"})
    studio.browser.post("/clients/1/questions", data={"asked_on": "2025-01-20", "mole": "yes", **NOT_ASKED})
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        bottle = Bottle(pigment_id=1, batch="B17")
        clay = Pigment(name="Clay", family="inorganic")
        rows.add_all([bottle, clay, Constituent(pigment_id=1, position=1, text="CI 77499")])
        rows.flush()
        link = rows.get_one(SessionPigment, (1, 1))
        link.bottle_id, link.parts = bottle.id, 3
        rows.add(SessionPigment(session_id=1, pigment_id=clay.id or 0, parts=1))
        rows.get_one(Session, 1).diluted_parts = 0.5
        work = rows.get_one(Work, 1)
        work.aim_lab, work.aim_from, work.aim_agreed_on = [42.0, 9.0, 13.0], "baseline", date(2025, 4, 2)
        work.aim_note = "a little softer"
        rows.commit()
    return studio


NOT_ASKED = dict.fromkeys(set(QUESTIONS) - {"mole"}, "not asked")


def test_everything_stands_in_one_order_of_time(told: Studio) -> None:
    words = Page(told.browser.get("/clients/1/history")).words
    assert "3 parts Walnut (hybrid), bottle B17; 1 part Clay (inorganic); diluted with 0.5 parts" in words
    order = [
        "15 Nov 2025",
        "15 Jul 2025",
        "2 Apr 2025 ◎ Aim agreed, from the baseline",
        "a little softer",
        "1 Apr 2025 ◉ Follow-up",
        "1 Feb 2025 ● First session",
        "20 Jan 2025 ? Questions before work",
        "10 Jan 2025 ✓ Consent to photo storage given",
    ]
    places = [words.index(each) for each in order]
    assert places == sorted(places)
    assert "▸ Judged" in words
    assert "right brow: asked for by the client" in words
    assert "Bare skin" in words


def test_it_can_be_of_one_work_alone(told: Studio) -> None:
    page = Page(told.browser.get("/clients/1/history?work=2"))
    assert "History of Robin, right brow" in page.words
    assert "Follow-up" not in page.words
    assert "Consent" not in page.words
    assert "First session" in Page(told.browser.get("/clients/1/history?work=1")).words


@pytest.mark.parametrize("work", ["99", "x", "", "-1"])
def test_a_work_that_is_not_hers_shows_everything(told: Studio, work: str) -> None:
    answer = told.browser.get(f"/clients/1/history?work={work}")
    assert answer.status_code == 200
    assert "First session" in Page(answer).words


def test_a_new_client_has_no_history(studio: Studio) -> None:
    studio.add_client(consent=False)
    assert "Nothing has happened yet" in Page(studio.browser.get("/clients/1/history")).words


def test_a_withdrawal_and_an_unfinished_photo_are_in_it(studio: Studio, follow_up: int) -> None:
    words = Page(studio.browser.get("/clients/1/history")).words
    assert "The photo is stored and not yet measured" in words
    studio.browser.post("/clients/1/withdraw")
    assert "Consent to photo storage withdrawn" in Page(studio.browser.get("/clients/1/history")).words


def test_a_mix_is_told_in_words() -> None:
    walnut, bare = Pigment(name="Walnut", family="hybrid"), Bottle(pigment_id=1)
    session = Session(work_id=1, kind="touch-up", on_date=date(2025, 1, 1), technique="other")
    assert mix_words([Ingredient(walnut, bare, None)], session) == "Walnut (hybrid)"
    assert mix_words([], session) == "pigment unknown"
    session.kind = "removal"
    assert mix_words([], session) == ""


def test_constituents_come_in_the_labels_order(told: Studio) -> None:
    with DatabaseSession(told.browser.app.state.engine) as rows:
        rows.add(Constituent(pigment_id=1, position=0, text="CI 77891"))
        rows.flush()
        assert [c.text for c in constituents(rows, [1, 2])[1]] == ["CI 77891", "CI 77499"]
        assert mixes(rows, [2]) == {}
        rows.rollback()


class TestSkin:
    def test_what_is_measured_stands_beside_the_artists_words(self, told: Studio) -> None:
        sent = {"alias": "Robin", "skin_notes": "freckles", "undertone": "rosy", "skin_type": "II"}
        sent |= {"age_band": "45 to 54", "skin_quality": "thin"}
        assert told.browser.post("/clients/1/edit", data=sent).status_code == 303
        page = Page(told.browser.get("/clients/1/skin"))
        assert "The middle of 3 sound photos" in page.words
        assert "ITA" in page.words
        for said in ("rosy", "II", "45 to 54", "thin", "freckles"):
            assert said in page.words
        svg = told.browser.get("/clients/1/skin.svg?width=narrow")
        assert svg.headers["content-type"] == "image/svg+xml"
        assert svg.text.startswith("<svg")

    def test_without_photos_it_says_so(self, studio: Studio) -> None:
        studio.add_client()
        assert "No bare skin has been measured yet" in Page(studio.browser.get("/clients/1/skin")).words
        assert studio.browser.get("/clients/1/skin.svg").status_code == 404

    @pytest.mark.parametrize(("field", "entry"), [("skin_type", "VII"), ("age_band", "42"), ("skin_quality", "x")])
    def test_words_that_are_not_offered_are_refused(self, studio: Studio, field: str, entry: str) -> None:
        studio.add_client()
        answer = studio.browser.post("/clients/1/edit", data={"alias": "Robin", "undertone": "rosy", field: entry})
        assert answer.status_code == 422
        assert list(Page(answer).wrong) == [field]
        assert Page(answer).fields["undertone"] == "rosy"
