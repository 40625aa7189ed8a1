import re

import pytest
from sqlmodel import Session as DatabaseSession

from tests.page_reading import Page, refused
from tests.pages.shelf_rows import COOL, WARM, add_client, add_pigment, add_reading, add_session, add_work
from tests.studio import Studio


@pytest.fixture
def client(studio: Studio) -> int:
    """A client whose skin is measured, in a studio that knows Clay from six clients and Loam from none."""
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        clay = add_pigment(rows, "Clay")
        add_pigment(rows, "Loam")
        for number in range(6):
            work = add_work(rows, add_client(rows, f"client {number}"))
            add_session(rows, work, 0, clay)
            for months in (2, 6, 10, 14):
                add_reading(rows, work, months, 0.7 * 0.5 ** ((months - 2) / 12) * WARM)
        robin = add_client(rows, "Robin", agreed=False, age_band="65 and over")
        work = add_work(rows, robin)
        add_session(rows, work, 0, clay)
        add_reading(rows, work, 2, 0.4 * COOL)
        rows.commit()
    return robin


def page_of(studio: Studio, client: int, **query: str) -> Page:
    answer = studio.browser.get(f"/clients/{client}/choose", params=query)
    assert answer.status_code == 200, answer.text
    return Page(answer)


def test_families_and_known_pigments_stand_side_by_side(studio: Studio, client: int) -> None:
    words = page_of(studio, client).words
    for part in ("carbon/organic", "hybrid", "Clay inorganic", "healed", "after 3 years", "Side by side in figures"):
        assert part in words
    assert "look there: Loam (inorganic)." in words
    assert "own figures" in words
    assert "common practice" in words
    assert "L* 66.0, a* 11.0, b* 17.0, light by its typology angle" in words


def test_own_figures_move_the_half_life(studio: Studio, client: int) -> None:
    words = page_of(studio, client).words
    at = words.index("Clay inorganic")
    told = re.search(r"Half of it is gone after about (\d+) months", words[at : at + 400])
    assert told is not None
    assert 11 <= int(told[1]) <= 14, "made to halve in twelve"
    assert "6 clients with inorganic work, 6 with this pigment, 6 in this technique and site" in words


def test_the_choices_are_kept_and_change_the_words(studio: Studio, client: int) -> None:
    page = page_of(studio, client, site="left upper eyeliner", technique="eyeliner", hand="light", wish="bold")
    assert {k: page.fields[k] for k in ("site", "technique", "hand", "wish")} == {
        "site": "left upper eyeliner",
        "technique": "eyeliner",
        "hand": "light",
        "wish": "bold",
    }
    assert "Eyelid." in page.words
    assert "bold, and lasting" in page.words
    assert "can spread in eyelid skin" in page.words
    assert page_of(studio, client, site="left upper eyeliner").fields["technique"] == "eyeliner"


def test_age_speaks_for_care(studio: Studio, client: int) -> None:
    assert "Thin or mature skin." in page_of(studio, client).words


def test_no_winner_is_announced(studio: Studio, client: int) -> None:
    words = page_of(studio, client).words.casefold()
    assert not any(word in words for word in ("recommend", "winner", "best choice", "you should"))


def test_unmeasured_skin_gets_no_colours(studio: Studio) -> None:
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        robin = add_client(rows, "Robin")
        work = add_work(rows, robin)
        add_session(rows, work, 0, add_pigment(rows, "Clay"))
        add_reading(rows, work, 2, 0.4 * COOL, grade="retake")
        rows.commit()
    words = page_of(studio, robin).words
    assert "has not been measured yet" in words
    assert "By family" not in words


@pytest.mark.parametrize("field", ["site", "technique", "hand", "wish"])
def test_a_choice_that_is_not_on_the_list_is_named(studio: Studio, client: int, field: str) -> None:
    refused(studio.browser.get(f"/clients/{client}/choose", params={field: "moon"}), field)


def test_an_unknown_client_is_not_found(studio: Studio) -> None:
    assert studio.browser.get("/clients/99/choose").status_code == 404
