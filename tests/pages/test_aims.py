"""The aim of a work: from a baseline, a photo, a swatch or a spot, always with the client's agreement."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from sqlmodel import Session as DatabaseSession

from tests.page_reading import Page, refused
from tests.studio import Studio
from tests.synthetic import Look, draw_photo
from webapp.records.tables import MeasurementRow, PhotoFile, Swatch, Work

AGREED = {"agreed": "yes", "agreed_on": "2025-04-02", "aim_note": "a little softer"}


@pytest.fixture
def later(studio: Studio, measured: int) -> Studio:
    studio.measure(studio.add_photo(1, "2025-09-01", draw_photo(Look(brow=(150, 90, 60)), 2)), on="2025-09-01")
    return studio


def aim(studio: Studio) -> Work:
    work: Work = studio.rows(Work)[0]
    return work


def test_the_baseline_can_be_the_aim(later: Studio) -> None:
    answer = later.browser.post("/works/1/aim", data=AGREED | {"source": "baseline-1"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/works/1")
    work = aim(later)
    np.testing.assert_allclose(work.aim_lab, later.rows(MeasurementRow)[0].pigment_lab, atol=1e-6)
    assert (work.aim_from, work.aim_agreed_on, work.aim_note) == ("baseline", date(2025, 4, 2), "a little softer")
    page = Page(later.browser.get("/works/1"))
    assert "The agreed aim, from the baseline, agreed on 2 Apr 2025. a little softer" in page.words


def test_a_photo_can_be_told_beside_the_baselines_skin(later: Studio) -> None:
    assert later.browser.post("/works/1/aim", data=AGREED | {"source": "photo-2"}).status_code == 303
    work, row = aim(later), later.rows(MeasurementRow)[1]
    assert work.aim_from == "photo"
    assert work.aim_lab is not None
    assert np.abs(np.array(work.aim_lab) - row.pigment_lab).max() < 3
    assert "The agreed aim, from the photo" in Page(later.browser.get("/works/1")).words


def test_a_swatch_can_be_the_aim(later: Studio) -> None:
    with DatabaseSession(later.browser.app.state.engine) as rows:
        photo = PhotoFile(sha256="a" * 64, size=1, width=1, height=1, stored_at=datetime.now(UTC))
        rows.add(photo)
        rows.flush()
        made = {"on_date": date(2025, 1, 1), "created_at": datetime.now(UTC)}
        for lab in (None, [40.0, 10.0, 15.0]):
            rows.add(Swatch(pigment_id=1, photo_id=photo.id or 0, card_id=1, lab=lab, **made))
        rows.commit()
    page = Page(later.browser.get("/works/1/aim"))
    assert page.words.count("the swatch of Walnut") == 1
    later.browser.post("/works/1/aim", data=AGREED | {"source": "swatch-2"})
    assert (aim(later).aim_lab, aim(later).aim_from) == ([40.0, 10.0, 15.0], "swatch")


class TestSpot:
    def test_its_colour_is_shown_and_can_be_the_aim(self, later: Studio) -> None:
        answer = later.browser.get("/works/1/aim/spot?follow_up=1&across=50&down=50&size=4")
        assert answer.status_code == 200
        assert "<circle" in answer.text
        form = Page(answer).fields
        sent = {k: form[k] for k in ("source", "follow_up", "across", "down", "size")}
        assert later.browser.post("/works/1/aim", data=AGREED | sent).status_code == 303
        work = aim(later)
        assert work.aim_from == "photo"
        assert work.aim_lab is not None
        # The drawn brow's own colour, as Look has it and the card confirms; the spot takes in no skin.
        brow = later.rows(MeasurementRow)[0].pigment_lab
        assert np.abs(np.array(work.aim_lab) - brow).max() < 4

    def test_it_is_bare_skin_where_it_lies_on_skin(self, later: Studio) -> None:
        sent = {"source": "spot", "follow_up": "1", "across": "50", "down": "4", "size": "2"}
        later.browser.post("/works/1/aim", data=AGREED | sent)
        skin = later.rows(MeasurementRow)[0].skin_lab
        assert np.abs(np.array(aim(later).aim_lab) - skin).max() < 4

    @pytest.mark.parametrize(("field", "entry"), [("across", "101"), ("down", "x"), ("size", "0"), ("size", "nan")])
    def test_a_wrong_number_is_named(self, later: Studio, field: str, entry: str) -> None:
        asked = {"follow_up": "1", "across": "50", "down": "50", "size": "3", field: entry}
        page = refused(later.browser.get("/works/1/aim/spot", params=asked), field)
        assert page.fields[field] == entry

    @pytest.mark.parametrize("follow_up", ["", "99", "x", "-1"])
    def test_a_photo_that_is_not_there_is_no_page(self, later: Studio, follow_up: str) -> None:
        assert later.browser.get(f"/works/1/aim/spot?follow_up={follow_up}").status_code == 404

    def test_without_agreement_the_spot_is_kept_on_the_page(self, later: Studio) -> None:
        sent = {"source": "spot", "follow_up": "1", "across": "40", "down": "50", "size": "3"}
        page = refused(later.browser.post("/works/1/aim", data=AGREED | sent | {"agreed": ""}), "agreed")
        assert (page.fields["across"], page.fields["aim_note"]) == ("40", "a little softer")

    def test_a_photo_whose_file_is_gone_says_so(self, later: Studio) -> None:
        for file in later.photo_files():
            file.unlink()
        answer = later.browser.get("/works/1/aim/spot?follow_up=1")
        assert answer.status_code == 410


TOMORROW = (date.today() + timedelta(days=1)).isoformat()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"source": ""}, "source"),
        ({"source": "photo-99"}, "source"),
        ({"source": "photo-1"}, "source"),
        ({"agreed": ""}, "agreed"),
        ({"agreed_on": TOMORROW}, "agreed_on"),
        ({"aim_note": "n" * 2001}, "aim_note"),
    ],
)
def test_a_wrong_entry_is_named_and_the_rest_is_kept(later: Studio, change: dict[str, str], field: str) -> None:
    sent = AGREED | {"source": "photo-2"} | change
    page = refused(later.browser.post("/works/1/aim", data=sent), field)
    assert {k: page.fields.get(k, "") for k in sent if k != field} == {k: v for k, v in sent.items() if k != field}
    assert aim(later).aim_lab is None


def test_it_can_be_taken_away(later: Studio) -> None:
    later.browser.post("/works/1/aim", data=AGREED | {"source": "baseline-1"})
    assert later.browser.post("/works/1/aim", data={"remove": "yes"}).status_code == 303
    work = aim(later)
    assert (work.aim_lab, work.aim_from, work.aim_agreed_on, work.aim_note) == (None, "", None, "")


def test_without_a_measured_colour_it_says_what_is_missing(studio: Studio, work: int) -> None:
    assert "no measured colour yet" in Page(studio.browser.get(f"/works/{work}/aim")).words
