import io
import json

import httpx2
import numpy as np
import pytest
from PIL import Image

from tests.page_reading import Page, refused
from tests.pages.test_printed_strip import corners_on
from tests.photo.two_cards import KNOWN, KNOWN_BOX, NEW, NEW_BOX, TwoCards
from tests.studio import Studio
from tests.synthetic import draw_photo
from webapp.photo.printed_card import draw_card, printed_card
from webapp.records.tables import Card, CardPhoto, PhotoFile

ENTRIES = {
    "name": "New steps",
    "kind": "step card",
    "printed_id": "",
    "steps": "4",
    "known_card": "2",
    "note": "matt",
}
CARD = {
    "name": "Known",
    "kind": "step card",
    "patches": "\n".join(" ".join(map(str, lab)) for lab in KNOWN),
    "values_from": "instrument",
    "sd": "0.3",
    "printed_id": "",
    "note": "",
}


@pytest.fixture
def known(studio: Studio) -> int:
    """The id of a registered card whose values are known."""
    assert studio.browser.post("/cards", data=CARD).status_code == 303
    return 2


def send(studio: Studio, content: bytes | None = None, **entries: str) -> httpx2.Response:
    files = {"photo": ("cards.png", TwoCards().file() if content is None else content)}
    return studio.browser.post("/cards/from-photo", data=ENTRIES | entries, files=files)


def mark(studio: Studio, which: str, box: np.ndarray) -> httpx2.Response:
    return studio.browser.post(f"/card-photos/1/marks/{which}", data={"card_corners": json.dumps(box.tolist())})


def marked(studio: Studio, content: bytes | None = None, new: np.ndarray = NEW_BOX, **entries: str) -> Page:
    """Go through the whole way, and give the page with what came out."""
    assert send(studio, content, **entries).headers["location"] == "/card-photos/1/marks/known"
    assert mark(studio, "known", KNOWN_BOX).headers["location"] == "/card-photos/1/marks/new"
    assert mark(studio, "new", new).headers["location"] == "/card-photos/1"
    return Page(studio.browser.get("/card-photos/1"))


def test_a_new_card_gets_its_values_from_one_photo_and_nothing_is_kept_before(studio: Studio, known: int) -> None:
    words = marked(studio).words
    assert "not kept yet" in words
    assert "Good: this photo can be trusted." in words
    assert words.count("±") > 3 * len(NEW)
    assert len(studio.rows(Card)) == 2
    assert "New steps" in Page(studio.browser.get("/cards")).words
    assert studio.browser.post("/card-photos/1").headers["location"] == "/cards#card-3"
    card = studio.rows(Card)[2]
    assert (card.kind, card.values_known, card.values_from, card.note) == (
        "step card",
        True,
        "photo beside a known card",
        "matt",
    )
    assert np.abs(np.array(card.patches) - NEW).max() < 0.6
    assert card.patch_sd is not None
    assert np.all(np.array(card.patch_sd) > 0.3)
    assert studio.rows(CardPhoto)[0].card_id == 3
    assert [p.client_id for p in studio.rows(PhotoFile)] == [None]
    assert "a photo beside a known card" in Page(studio.browser.get("/cards")).words


def test_a_kept_card_stays_as_it_is(studio: Studio, known: int) -> None:
    marked(studio)
    studio.browser.post("/card-photos/1")
    mark(studio, "new", KNOWN_BOX)
    studio.browser.post("/card-photos/1/delete")
    studio.browser.post("/card-photos/1")
    assert studio.rows(CardPhoto)[0].new_corners == NEW_BOX.tolist()
    assert len(studio.rows(Card)) == 3


def test_it_can_be_left_and_gone_on_with_and_let_go_of(studio: Studio, known: int) -> None:
    send(studio)
    assert studio.browser.get("/card-photos/1").headers["location"] == "/card-photos/1/marks/known"
    draft = {"card_corners": json.dumps(KNOWN_BOX.tolist())}
    assert studio.browser.post("/card-photos/1/draft/known", data=draft).status_code == 204
    assert studio.browser.post("/card-photos/1/draft/known", data={"card_corners": "junk"}).status_code == 204
    assert studio.browser.get("/card-photos/1").headers["location"] == "/card-photos/1/marks/new"
    assert corners_on(studio.browser.get("/card-photos/1/marks/known").text) == KNOWN_BOX.tolist()
    assert studio.browser.post("/card-photos/1/delete").headers["location"] == "/cards"
    assert studio.rows(CardPhoto) == studio.rows(PhotoFile) == []


@pytest.mark.parametrize("sent", ["", "junk", "[[1, 2]]", "[[1, 2], [3, 4], [5, 6], [null, 1]]"])
def test_marks_that_are_none_are_told(studio: Studio, known: int, sent: str) -> None:
    send(studio)
    refused(studio.browser.post("/card-photos/1/marks/known", data={"card_corners": sent}), "card_corners")


def test_marks_over_one_another_are_told_and_kept(studio: Studio, known: int) -> None:
    page = marked(studio, new=KNOWN_BOX + 4)
    assert "marked over one another" in page.words
    assert studio.browser.post("/card-photos/1").status_code == 422
    assert studio.rows(CardPhoto)[0].known_corners == KNOWN_BOX.tolist()
    assert len(studio.rows(Card)) == 2


def test_a_retake_is_never_kept(studio: Studio, known: int) -> None:
    words = marked(studio, TwoCards(shadow=0.5).file()).words
    assert "Retake: these values cannot be kept" in words
    assert "is not one even grey" in words
    assert studio.browser.post("/card-photos/1").status_code == 422
    assert len(studio.rows(Card)) == 2


@pytest.mark.parametrize(
    ("entries", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "KNOWN"}, "name"),
        ({"kind": "x"}, "kind"),
        ({"kind": "printed strip"}, "printed_id"),
        ({"steps": ""}, "steps"),
        ({"steps": "1"}, "steps"),
        ({"steps": "13"}, "steps"),
        ({"steps": "²"}, "steps"),
        ({"known_card": "99"}, "known_card"),
        ({"known_card": "1"}, "known_card"),
    ],
)
def test_an_entry_that_does_not_serve_is_named(studio: Studio, known: int, entries: dict[str, str], field: str) -> None:
    page = refused(send(studio, **entries), field)
    assert page.fields["note"] == "matt"
    assert studio.rows(PhotoFile) == []


@pytest.mark.parametrize("content", [b"", b"no photo", TwoCards().file()[:2000]])
def test_a_file_that_is_no_photo_is_told(studio: Studio, known: int, content: bytes) -> None:
    refused(send(studio, content), "photo")
    assert studio.rows(PhotoFile) == []


def test_a_photo_is_needed(studio: Studio, known: int) -> None:
    refused(studio.browser.post("/cards/from-photo", data=ENTRIES), "photo")


def test_a_clients_photo_is_refused(studio: Studio, work: int, known: int) -> None:
    studio.add_photo(work, content=draw_photo(seed=9))
    assert "stored as a client's" in refused(send(studio, draw_photo(seed=9)), "photo").wrong["photo"]


def test_without_a_known_card_the_page_says_what_to_do(studio: Studio) -> None:
    words = Page(studio.browser.get("/cards/from-photo")).words
    assert "No card with known values is registered yet" in words


def test_a_name_taken_in_the_meantime_is_asked_for_anew(studio: Studio, known: int) -> None:
    marked(studio)
    studio.browser.post("/cards", data=CARD | {"name": "New steps"})
    refused(studio.browser.post("/card-photos/1"), "name")
    assert studio.browser.post("/card-photos/1", data={"name": "Other"}).status_code == 303
    assert studio.rows(Card)[-1].name == "Other"


def beside_strip(printed_id: str) -> bytes:
    """The known card above a printed strip."""
    pixels = np.pad(TwoCards(new=((55, 4, 10),)).pixels, ((0, 260), (0, 100), (0, 0)), mode="edge")
    photo = Image.fromarray(pixels)
    strip = draw_card(printed_card(printed_id)).convert("RGB").point(lambda v: round(v * 0.9))
    photo.paste(strip.resize((602, 177)), (40, 260))
    buffer = io.BytesIO()
    photo.save(buffer, "PNG")
    return buffer.getvalue()


def test_a_printed_strip_is_found_and_calibrated(studio: Studio, known: int) -> None:
    sent = {"name": "Oak", "kind": "printed strip", "printed_id": "oak-7"}
    send(studio, beside_strip("OAK-7"), **sent)
    mark(studio, "known", KNOWN_BOX)
    corners = corners_on(studio.browser.get("/card-photos/1/marks/new").text)
    assert len(corners) == 4
    mark(studio, "new", np.array(corners))
    assert studio.browser.post("/card-photos/1").status_code == 303
    card = studio.rows(Card)[-1]
    assert (card.printed_id, card.values_known, len(card.patches)) == ("OAK-7", True, 6)
    lightness = [p[0] for p in card.patches]
    assert lightness == sorted(lightness, reverse=True)


def test_another_strip_than_the_one_named_is_told_and_never_kept(studio: Studio, known: int) -> None:
    send(studio, beside_strip("ELM-2"), name="Oak", kind="printed strip", printed_id="OAK-7")
    mark(studio, "known", KNOWN_BOX)
    answer = studio.browser.get("/card-photos/1/marks/new")
    assert corners_on(answer.text) == []
    assert "No card is registered under ELM-2" in Page(answer).words
    steps = printed_card("ELM-2").steps
    box = np.array([steps[0].corners[0], steps[-1].corners[1], steps[-1].corners[2], steps[0].corners[3]])
    mark(studio, "new", box * 0.6 + (40, 260))
    assert "No card is registered under ELM-2" in Page(studio.browser.get("/card-photos/1")).words
    assert studio.browser.post("/card-photos/1").status_code == 422


def test_the_form_starts_from_a_card_whose_values_are_assumed(studio: Studio) -> None:
    studio.browser.post("/cards/print")
    fields = Page(studio.browser.get("/cards/from-photo?like=2")).fields
    assert (fields["kind"], fields["printed_id"]) == ("printed strip", "STRIP1")
