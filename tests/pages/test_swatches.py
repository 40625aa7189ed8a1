import json
from datetime import date

import numpy as np
import pytest

from tests.page_reading import Page, refused
from tests.studio import Studio
from tests.synthetic import CARD_BOX, Look, draw_photo, ellipse
from webapp.photo.card import GREY_CARD, Patch
from webapp.photo.measure import measure
from webapp.photo.read import read_photo
from webapp.records.tables import PhotoFile, Pigment, Swatch

SMEAR = ellipse((340.0, 290.0), (150.0, 24.0))
MARKS = {
    "card": "1",
    "on": "2026-03-01",
    "note": "",
    "card_corners": json.dumps(CARD_BOX),
    "outline": json.dumps(SMEAR),
}
ENTRIES = {"card": "1", "on": "2026-03-01", "note": "thick"}


@pytest.fixture
def pigment(studio: Studio) -> int:
    return studio._sent("/pigments", {"name": "Oak", "label": "CI 77491"})


def send(studio: Studio, pigment: int, content: bytes | None = None, **entries: str):
    files = {"photo": ("smear.jpg", draw_photo() if content is None else content)}
    return studio.browser.post(f"/pigments/{pigment}/swatches/new", data=ENTRIES | entries, files=files)


def mark(studio: Studio, swatch: int = 1, **entries: str):
    return studio.browser.post(f"/swatches/{swatch}/marks", data=MARKS | entries)


def test_a_smear_beside_the_card_gives_the_colour_that_the_command_line_gives(studio: Studio, pigment: int) -> None:
    assert send(studio, pigment).headers["location"] == "/swatches/1/marks"
    assert mark(studio).headers["location"] == "/swatches/1"
    row = studio.rows(Swatch)[0]
    patch = Patch(np.array(CARD_BOX), np.array(GREY_CARD))
    wanted = measure(read_photo(draw_photo()), np.array(SMEAR), [patch], swatch=True)
    assert row.lab == pytest.approx(wanted.pigment.lab.tolist())
    assert np.allclose(row.spread, wanted.pigment.spread)
    assert np.allclose(row.shared, wanted.pigment.shared)
    assert (row.grade, row.on_date, row.note) == (wanted.quality.grade, date(2026, 3, 1), "")
    page = Page(studio.browser.get("/swatches/1"))
    assert f"L* {row.lab[0]:.1f} ±" in page.words
    assert studio.browser.get("/swatches/1/balanced.jpg").headers["content-type"] == "image/jpeg"
    assert f"L* {row.lab[0]:.1f}, a*" in Page(studio.browser.get("/pigments/1")).words


def test_its_photo_belongs_to_no_client_and_needs_no_consent(studio: Studio, pigment: int) -> None:
    assert "no client's consent is needed" in Page(studio.browser.get("/pigments/1/swatches/new")).words
    send(studio, pigment)
    assert [(p.client_id, p.width) for p in studio.rows(PhotoFile)] == [(None, 600)]


def test_it_can_be_left_and_gone_on_with(studio: Studio, pigment: int) -> None:
    send(studio, pigment)
    studio.browser.post("/swatches/1/draft", data={"card_corners": MARKS["card_corners"], "outline": "junk"})
    assert "Go on marking it" in Page(studio.browser.get("/pigments/1")).words
    assert studio.browser.get("/swatches/1").headers["location"] == "/swatches/1/marks"
    fields = Page(studio.browser.get("/swatches/1/marks")).fields
    assert json.loads(fields["card_corners"]) == CARD_BOX
    assert fields["outline"] == ""
    assert studio.browser.get("/swatches/1/balanced.jpg").status_code == 404


def test_a_retake_says_so(studio: Studio, pigment: int) -> None:
    send(studio, pigment, draw_photo(Look(light=(0.25, 0.25, 0.25))))
    mark(studio)
    assert studio.rows(Swatch)[0].grade == "retake"
    words = Page(studio.browser.get("/swatches/1")).words
    assert "Retake: this photo should be taken again" in words
    assert "Add light" in words
    assert "; retake" in Page(studio.browser.get("/pigments/1")).words


@pytest.mark.parametrize(
    ("field", "entry"),
    [
        ("card", "9"),
        ("on", "2999-01-01"),
        ("note", "n" * 2001),
        ("card_corners", ""),
        ("card_corners", "[[1,2],[3,4]]"),
        ("outline", "junk"),
        ("outline", "[[1,1],[2,2]]"),
    ],
)
def test_a_wrong_mark_or_entry_is_named_and_the_rest_kept(studio: Studio, pigment: int, field: str, entry: str) -> None:
    send(studio, pigment)
    page = refused(mark(studio, **{field: entry}), field)
    kept = {k: v for k, v in MARKS.items() if k not in (field, "card_corners", "outline")}
    assert {k: page.fields[k] for k in kept} == kept
    assert studio.rows(Swatch)[0].lab is None


@pytest.mark.parametrize(("content", "sentence"), [(b"", "empty"), (b"Dear grandmother", "not a photo")])
def test_a_file_that_is_no_photo_is_refused(studio: Studio, pigment: int, content: bytes, sentence: str) -> None:
    page = refused(send(studio, pigment, content), "photo")
    assert sentence in page.wrong["photo"]
    assert page.fields["note"] == "thick"
    assert studio.photo_files() == studio.rows(PhotoFile) == studio.rows(Swatch) == []


def test_no_file_is_said(studio: Studio, pigment: int) -> None:
    answer = studio.browser.post("/pigments/1/swatches/new", data=ENTRIES, files={"photo": ("", b"")})
    assert "Choose a photo" in refused(answer, "photo").wrong["photo"]


def test_the_day_is_the_cameras_where_none_is_given(studio: Studio, pigment: int) -> None:
    send(studio, pigment, draw_photo(taken="2025:05:06 10:00:00"), on="")
    assert studio.rows(Swatch)[0].on_date == date(2025, 5, 6)


def test_a_clients_photo_is_no_swatch_and_a_swatch_no_clients(studio: Studio, pigment: int) -> None:
    work = studio.ready_work()
    clients, smear = draw_photo(seed=8), draw_photo(seed=2)
    studio.add_photo(work, content=clients)
    assert "stored as a client's" in refused(send(studio, pigment, clients), "photo").wrong["photo"]
    send(studio, pigment, smear)
    files = {"photo": ("brow.jpg", smear)}
    answer = studio.browser.post(
        f"/works/{work}/follow-ups/new", data={"on": "2025-04-01", "card": "1", "note": ""}, files=files
    )
    assert "of a swatch or a card" in refused(answer, "photo").wrong["photo"]


def test_one_photo_may_show_several_pigments_and_goes_with_the_last(studio: Studio, pigment: int) -> None:
    studio._sent("/pigments", {"name": "Ink"})
    smear = draw_photo(seed=3)
    send(studio, 1, smear)
    assert "already stored for this pigment" in refused(send(studio, 1, smear), "photo").wrong["photo"]
    send(studio, 2, smear)
    mark(studio, 1)
    mark(studio, 2)
    assert len(studio.rows(PhotoFile)) == 1
    assert "has swatches" in refused(studio.browser.post("/pigments/1/delete"), "delete").wrong["delete"]
    studio.browser.post("/swatches/1/delete")
    assert (len(studio.rows(PhotoFile)), len(studio.photo_files())) == (1, 1)
    assert studio.browser.get("/swatches/2/balanced.jpg").status_code == 200
    studio.browser.post("/swatches/2/delete")
    assert studio.rows(PhotoFile) == studio.photo_files() == studio.pictures() == []
    assert studio.browser.post("/pigments/1/delete").status_code == 303
    assert [p.name for p in studio.rows(Pigment)] == ["Ink"]


def test_marking_again_replaces_the_colour(studio: Studio, pigment: int) -> None:
    send(studio, pigment)
    mark(studio)
    first = studio.rows(Swatch)[0].lab
    mark(studio, outline=json.dumps(ellipse((340.0, 100.0), (60.0, 24.0))))
    assert studio.rows(Swatch)[0].lab != first
    assert len(studio.rows(Swatch)) == 1
    refused(mark(studio, outline=""), "outline")
    assert studio.rows(Swatch)[0].lab is not None
