from dataclasses import dataclass

import pytest
from sqlmodel import Session as DatabaseSession

from tests.page_reading import Page, refused
from tests.pages.shelf_rows import COOL, WARM, add_client, add_pigment, add_reading, add_session, add_work
from tests.studio import Studio
from webapp.records.tables import Work


@dataclass
class Place:
    """A studio in which one work has faded, and ten others have taught what Clay and Night do."""

    studio: Studio
    work: int

    def page(self, **query: str) -> Page:
        answer = self.studio.browser.get(f"/works/{self.work}/correction", params=query)
        assert answer.status_code == 200, answer.text
        return Page(answer)


@pytest.fixture
def faded(studio: Studio) -> Place:
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        clay, night = add_pigment(rows, "Clay"), add_pigment(rows, "Night", "carbon/organic")
        for number in range(10):
            pigment, k = ((clay, WARM), (night, COOL))[number % 2]
            work = add_work(rows, add_client(rows, f"client {number}"))
            add_session(rows, work, 0, pigment)
            add_reading(rows, work, 2, 0.6 * k)
        work = add_work(rows, add_client(rows, "Robin", agreed=False, skin_quality="thin"))
        add_session(rows, work, 0, clay)
        add_reading(rows, work, 2, 0.8 * WARM)
        add_reading(rows, work, 20, 0.35 * WARM)
        rows.commit()
    return Place(studio, work)


def test_a_faded_work_is_shown_what_brings_it_back(faded: Place) -> None:
    words = faded.page().words
    assert "Within reach." in words
    assert "What the shelf can reach" in words
    assert "Clay" in words
    assert "Learned from 5 healed works of 5 clients" in words
    assert "ΔE00" in words
    assert "depth to add 0.4" in words


def test_the_form_starts_on_the_baseline_and_keeps_what_was_chosen(faded: Place) -> None:
    assert faded.page().fields["aim"] == "baseline"
    page = faded.page(aim="picked", L="40", a="8", b="9")
    assert (page.fields["aim"], page.fields["L"], page.fields["b"]) == ("picked", "40", "9")
    assert "To come to the colour given" in page.words


def test_a_lighter_colour_cannot_be_reached_and_says_what_comes_first(faded: Place) -> None:
    words = faded.page(aim="picked", L="64", a="11", b="17").words
    assert "Adding pigment cannot get there" in words
    assert "licensed practitioner" in words
    assert "No pigment on the shelf, alone or in a pair" in words


def test_an_agreed_aim_comes_first(faded: Place) -> None:
    with DatabaseSession(faded.studio.browser.app.state.engine) as rows:
        rows.get_one(Work, faded.work).aim_lab = [48.0, 8.0, 9.0]
        rows.commit()
    page = faded.page()
    assert page.fields["aim"] == "agreed"
    assert "To come to the agreed aim" in page.words
    assert "48.0" in page.words


def test_a_picked_colour_may_come_from_the_screen(faded: Place) -> None:
    page = faded.page(aim="picked", colour="#7a5c4a")
    # sRGB 122, 92, 74 is L* 41.67, a* 9.64, b* 15.11 (computed with colour-science, sRGB_to_XYZ and XYZ_to_Lab).
    assert "aim 41.7 9.6 15.1" in page.words


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"aim": "picked"}, "colour"),
        ({"aim": "picked", "colour": "brown"}, "colour"),
        ({"aim": "picked", "L": "120", "a": "0", "b": "0"}, "L"),
        ({"aim": "picked", "L": "40", "a": "x", "b": "0"}, "a"),
        ({"aim": "nonsense"}, "aim"),
        ({"aim": "agreed"}, "aim"),
    ],
)
def test_a_wrong_aim_is_named_and_the_page_stays(faded: Place, query: dict[str, str], field: str) -> None:
    page = refused(faded.studio.browser.get(f"/works/{faded.work}/correction", params=query), field)
    assert "The aim" in page.words


def test_cautions_that_apply_are_there(faded: Place) -> None:
    words = faded.page().words
    assert "Thin or mature skin." in words
    assert "Eyelid." not in words
    assert "If corrections are new to you." in words
    assert "Common practice, no source." in words
    assert "patch test" in words


def test_the_ring_is_drawn_for_the_same_aim(faded: Place) -> None:
    browser, path = faded.studio.browser, f"/works/{faded.work}/correction"
    picked = {"aim": "picked", "L": "40", "a": "0", "b": "0"}
    ring = browser.get(f"{path}/ring.svg", params={"width": "narrow"})
    assert ring.headers["content-type"].startswith("image/svg")
    other = browser.get(f"{path}/ring.svg", params=picked)
    assert ring.text != other.text
    answer = faded.studio.browser.get(
        f"/works/{faded.work}/correction", params={"aim": "picked", "L": "40", "a": "0", "b": "0"}
    )
    assert "ring.svg?width=narrow&amp;aim=picked&amp;L=40" in answer.text


def test_a_work_at_its_aim_is_left_alone(studio: Studio) -> None:
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        work = add_work(rows, add_client(rows, "Robin"))
        add_session(rows, work, 0, add_pigment(rows, "Clay"))
        for months in (2, 6):
            add_reading(rows, work, months, 0.6 * WARM)
        rows.commit()
    words = Place(studio, work).page().words
    assert "At the aim." in words
    assert "What the shelf can reach" not in words


def test_without_a_healed_photo_there_is_nothing_to_correct_from(studio: Studio, work: int) -> None:
    assert "no sound healed photo" in Place(studio, work).page().words
    assert studio.browser.get(f"/works/{work}/correction/ring.svg").status_code == 404


def test_without_bare_skin_it_says_so(studio: Studio) -> None:
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        work = add_work(rows, add_client(rows, "Robin"))
        add_session(rows, work, 0, add_pigment(rows, "Clay"))
        for months, depth in ((2, 0.8), (9, 0.3)):
            add_reading(rows, work, months, depth * WARM, skin=None)
        rows.commit()
    words = Place(studio, work).page().words
    assert "shows no bare skin" in words
    assert "What the shelf can reach" not in words


def test_an_unknown_work_is_not_found(studio: Studio) -> None:
    assert studio.browser.get("/works/99/correction").status_code == 404


def test_any_sent_text_is_answered_with_a_page(faded: Place) -> None:
    for junk in ("nan", "inf", "1e999", "<b>", "−5", "\ud800".encode("utf-8", "surrogatepass").decode("latin-1")):
        answer = faded.studio.browser.get(
            f"/works/{faded.work}/correction", params={"aim": "picked", "L": junk, "a": "0", "b": "0"}
        )
        assert answer.status_code == 422
        assert "<b>" not in answer.text
