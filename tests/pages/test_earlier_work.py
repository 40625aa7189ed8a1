from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.page_reading import Page, refused
from tests.properties import steady
from tests.studio import Studio
from webapp.pages.form import Form
from webapp.pages.rough_day import rough_day
from webapp.records.tables import Session, SessionPigment, Work

TODAY = date(2026, 3, 9)
EARLIER = {
    "site": "left brow",
    "note": "",
    "earlier": "yes",
    "earlier_on": "2019",
    "earlier_technique": "microblading",
    "earlier_artist": "",
    "earlier_note": "turned grey, says the client",
}


def test_earlier_work_is_a_cycle_of_its_own_with_unknown_pigment(studio: Studio) -> None:
    client = studio.add_client()
    assert studio.browser.post(f"/clients/{client}/works/new", data=EARLIER).status_code == 303
    session = studio.rows(Session)[0]
    assert (session.kind, session.on_date, session.day_is_rough) == ("earlier work", date(2019, 7, 1), True)
    assert (session.technique, session.note) == ("microblading", "turned grey, says the client")
    assert studio.rows(SessionPigment) == []
    assert "Since the earlier work of about 1 Jul 2019" in Page(studio.browser.get("/works/1")).words


def test_its_healed_colour_can_be_photographed_before_anything_is_added(studio: Studio) -> None:
    client = studio.add_client()
    studio.browser.post(f"/clients/{client}/works/new", data=EARLIER)
    studio.measure(studio.add_photo(1))
    page = Page(studio.browser.get("/works/1"))
    assert "baseline" in page.words


def test_it_can_be_changed_without_naming_a_pigment(studio: Studio) -> None:
    client = studio.add_client()
    studio.browser.post(f"/clients/{client}/works/new", data=EARLIER)
    form = Page(studio.browser.get("/sessions/1")).fields
    answer = studio.browser.post("/sessions/1", data=form | {"artist": "someone in town"})
    assert answer.status_code == 303, answer.text
    session = studio.rows(Session)[0]
    assert (session.kind, session.artist) == ("earlier work", "someone in town")


def test_without_the_tick_its_fields_are_not_asked_for(studio: Studio) -> None:
    client = studio.add_client()
    sent = EARLIER | {"earlier": "", "earlier_on": "long ago", "earlier_technique": ""}
    assert studio.browser.post(f"/clients/{client}/works/new", data=sent).status_code == 303
    assert studio.rows(Session) == []


@pytest.mark.parametrize(
    ("field", "entry"),
    [
        ("earlier_on", ""),
        ("earlier_on", "ten years ago"),
        ("earlier_on", "2019-13"),
        ("earlier_on", "2999"),
        ("earlier_on", "1970"),
        ("earlier_technique", ""),
        ("earlier_technique", "crayon"),
        ("earlier_artist", "k" * 81),
        ("earlier_note", "n" * 2001),
    ],
)
def test_a_wrong_entry_is_named_and_the_rest_is_kept(studio: Studio, field: str, entry: str) -> None:
    client = studio.add_client()
    sent = EARLIER | {"earlier_artist": "someone", field: entry}
    page = refused(studio.browser.post(f"/clients/{client}/works/new", data=sent), field)
    kept = {k: v for k, v in sent.items() if k not in (field, "earlier_technique")}
    assert {name: page.fields[name] for name in kept} == kept
    assert studio.rows(Work) == studio.rows(Session) == []


@pytest.mark.parametrize(
    ("entered", "day", "is_rough"),
    [
        ("2019", date(2019, 7, 1), True),
        ("2019-05", date(2019, 5, 15), True),
        (" 2019-05-12 ", date(2019, 5, 12), False),
        ("2026", TODAY, True),
        ("2026-03", TODAY, True),
    ],
)
def test_a_day_is_taken_as_roughly_as_it_is_known(entered: str, day: date, is_rough: bool) -> None:
    form = Form({"on": entered})
    assert rough_day(form, "on", TODAY) == (day, is_rough)
    assert form.sound


@steady
@given(entered=st.text(max_size=12) | st.dates(date(1980, 1, 1), date(2040, 1, 1)).map(str))
def test_whatever_is_entered_the_day_is_no_day_to_come_or_an_error(entered: str) -> None:
    form = Form({"on": entered})
    day, _ = rough_day(form, "on", TODAY)
    assert not form.sound or date(1990, 1, 1) <= day <= TODAY
