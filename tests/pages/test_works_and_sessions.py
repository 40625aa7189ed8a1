from datetime import date, timedelta

import pytest

from tests.page_reading import Page, refused
from tests.studio import SESSION, Studio
from tests.synthetic import Look, draw_photo
from webapp.records.tables import FollowUp, Pigment, Session, SessionPigment, Work

TOMORROW = (date.today() + timedelta(days=1)).isoformat()


class TestWork:
    def test_it_is_added_on_one_site(self, studio: Studio) -> None:
        client = studio.add_client()
        sent = {"site": "left upper eyeliner", "note": "older work under it"}
        answer = studio.browser.post(f"/clients/{client}/works/new", data=sent)
        assert answer.headers["location"] == "/works/1"
        page = Page(studio.browser.get("/works/1"))
        assert "Robin, left upper eyeliner" in page.words
        assert "older work under it" in page.words
        assert "No session yet" in page.words

    @pytest.mark.parametrize("site", ["", "nose", "LEFT BROW"])
    def test_a_site_that_is_not_in_the_list_is_refused(self, studio: Studio, site: str) -> None:
        client = studio.add_client()
        sent = {"site": site, "note": "kept"}
        page = refused(studio.browser.post(f"/clients/{client}/works/new", data=sent), "site")
        assert page.fields["note"] == "kept"
        assert studio.rows(Work) == []

    def test_a_note_that_is_too_long_keeps_the_site(self, studio: Studio) -> None:
        client = studio.add_client()
        sent = {"site": "right brow", "note": "n" * 2001}
        page = refused(studio.browser.post(f"/clients/{client}/works/new", data=sent), "note")
        assert {name: page.fields[name] for name in sent} == sent


class TestSession:
    def test_it_is_added_with_a_pigment_that_was_not_on_the_shelf(self, studio: Studio) -> None:
        work = studio.add_work(studio.add_client())
        studio.add_session(work)
        page = Page(studio.browser.get(f"/works/{work}"))
        assert "Since the first session of 1 Feb 2025" in page.words
        assert "by Kim, with Walnut (hybrid)" in page.words
        assert Page(studio.browser.get("/sessions/1")).fields["pigments"] == "1"

    def test_the_form_starts_as_a_first_session_and_then_as_a_touch_up(self, studio: Studio) -> None:
        work = studio.add_work(studio.add_client())
        assert Page(studio.browser.get(f"/works/{work}/sessions/new")).fields["kind"] == "first session"
        studio.add_session(work)
        assert Page(studio.browser.get(f"/works/{work}/sessions/new")).fields["kind"] == "touch-up"

    @pytest.mark.parametrize(
        ("field", "entry"),
        [
            ("kind", ""),
            ("kind", "tattoo party"),
            ("on", TOMORROW),
            ("on", "last summer"),
            ("artist", "k" * 81),
            ("technique", ""),
            ("technique", "crayon"),
            ("new_pigment", "w" * 121),
            ("new_pigment_family", ""),
            ("new_pigment_family", "herbal"),
            ("note", "n" * 10_000),
        ],
    )
    def test_a_wrong_entry_is_named_and_the_rest_is_kept(self, studio: Studio, field: str, entry: str) -> None:
        work = studio.add_work(studio.add_client())
        sent = SESSION | {"artist": "Kim", "note": "first try", field: entry}
        page = refused(studio.browser.post(f"/works/{work}/sessions/new", data=sent), field)
        choices = ("kind", "technique", "new_pigment_family")
        assert {k: page.fields.get(k) for k in sent if k != field or k not in choices} == {
            k: v for k, v in sent.items() if k != field or k not in choices
        }
        assert studio.rows(Session) == studio.rows(Pigment) == []

    def test_pigment_must_be_named_where_some_was_added(self, studio: Studio) -> None:
        work = studio.add_work(studio.add_client())
        refused(studio.browser.post(f"/works/{work}/sessions/new", data=SESSION | {"new_pigment": ""}), "pigments")

    def test_a_removal_needs_no_pigment(self, studio: Studio, work: int) -> None:
        studio.add_session(work, on="2025-06-01", kind="removal", new_pigment="")
        assert [s.kind for s in studio.rows(Session)] == ["first session", "removal"]

    def test_a_pigment_typed_again_is_the_one_on_the_shelf(self, studio: Studio, work: int) -> None:
        studio.add_session(work, on="2025-03-01", kind="touch-up", new_pigment="wALNUT", new_pigment_family="inorganic")
        assert [(p.name, p.family) for p in studio.rows(Pigment)] == [("Walnut", "hybrid")]
        assert [p.session_id for p in studio.rows(SessionPigment)] == [1, 2]

    @pytest.mark.parametrize("junk", ["99", "-1", "1; DROP TABLE pigment", "9" * 99, ""])
    def test_pigments_that_are_not_on_the_shelf_are_none(self, studio: Studio, work: int, junk: str) -> None:
        sent = SESSION | {"pigments": junk, "new_pigment": ""}
        refused(studio.browser.post(f"/works/{work}/sessions/new", data=sent), "pigments")

    def test_it_can_be_changed(self, studio: Studio, work: int) -> None:
        sent = SESSION | {"on": "2025-01-20", "new_pigment": "", "pigments": "1", "technique": "microblading"}
        assert studio.browser.post("/sessions/1", data=sent).status_code == 303
        session = studio.rows(Session)[0]
        assert (session.on_date, session.technique) == (date(2025, 1, 20), "microblading")

    def test_a_wrong_change_alters_nothing_and_is_kept_on_the_page(self, studio: Studio, work: int) -> None:
        sent = SESSION | {"on": TOMORROW, "new_pigment": "", "pigments": "1", "artist": "Sam"}
        page = refused(studio.browser.post("/sessions/1", data=sent), "on")
        assert (page.fields["on"], page.fields["artist"], page.fields["pigments"]) == (TOMORROW, "Sam", "1")
        assert studio.rows(Session)[0].artist == "Kim"

    def test_moved_past_its_photos_it_leaves_them_on_the_page(self, studio: Studio, measured: int) -> None:
        sent = SESSION | {"on": "2025-05-01", "new_pigment": "", "pigments": "1"}
        studio.browser.post("/sessions/1", data=sent)
        page = studio.browser.get("/works/1")
        assert "Photos from before every session entered" in Page(page).words
        assert 'href="/follow-ups/1"' in page.text
        assert studio.browser.get("/follow-ups/1").status_code == 200

    def test_a_photo_inside_a_cycle_is_shown_once(self, studio: Studio, measured: int) -> None:
        page = studio.browser.get("/works/1")
        assert "before every session" not in page.text
        assert page.text.count('id="photo-1"') == 1

    def test_deleting_the_last_one_leaves_the_photos_on_the_page(self, studio: Studio, measured: int) -> None:
        assert studio.browser.post("/sessions/1", data={"delete": "yes"}).status_code == 303
        assert studio.rows(Session) == studio.rows(SessionPigment) == []
        page = studio.browser.get("/works/1")
        assert "No session yet" in page.text
        assert 'href="/follow-ups/1"' in page.text
        assert studio.browser.get("/").status_code == 200
        assert studio.browser.get("/follow-ups/1/marks").status_code == 200

    def test_deleting_a_later_one_gives_its_photos_back_to_the_earlier(self, studio: Studio, work: int) -> None:
        studio.add_session(work, on="2025-03-01", kind="touch-up")
        studio.measure(studio.add_photo(work))
        studio.browser.post("/sessions/2", data={"delete": "yes"})
        words = Page(studio.browser.get(f"/works/{work}")).words
        assert "2025" in words
        assert "touch-up" not in words
        assert len(studio.rows(FollowUp)) == 1

    def test_deleting_twice_says_that_it_is_gone(self, studio: Studio, work: int) -> None:
        studio.browser.post("/sessions/1", data={"delete": "yes"})
        again = studio.browser.post("/sessions/1", data={"delete": "yes"})
        assert again.status_code == 404
        assert "may have been deleted" in Page(again).words


class TestDrift:
    """A whole cycle: four months apart, one unchanged and one turned warmer."""

    @pytest.fixture
    def cycle(self, studio: Studio, work: int) -> int:
        for i, (on, brow) in enumerate(
            [
                ("2025-02-10", (110, 84, 72)),
                ("2025-03-15", (124, 92, 78)),
                ("2025-07-15", (135, 92, 70)),
                ("2025-11-15", (148, 93, 62)),
            ]
        ):
            studio.measure(studio.add_photo(work, on, draw_photo(Look(brow=brow), seed=i)), on=on)
        return work

    def test_the_page_flags_it_and_shows_each_photo(self, studio: Studio, cycle: int) -> None:
        page = Page(studio.browser.get(f"/works/{cycle}"))
        assert "▲ warm" in page.words
        assert "Change against the baseline of 15 Mar 2025" in page.words
        assert "still healing" in page.words

    @pytest.mark.parametrize("name", ["difference", "lightness", "warmth", "hue", "path", "correction"])
    @pytest.mark.parametrize("width", ["wide", "narrow"])
    def test_every_chart_is_drawn(self, studio: Studio, measured: int, name: str, width: str) -> None:
        studio.measure(studio.add_photo(1, "2025-09-01", draw_photo(Look(brow=(150, 90, 60)), 2)), on="2025-09-01")
        answer = studio.browser.get(f"/works/1/cycles/1/{name}.svg?width={width}")
        assert answer.status_code == 200
        assert answer.headers["content-type"] == "image/svg+xml"
        assert answer.text.startswith("<svg")

    @pytest.mark.parametrize(
        "address",
        [
            "/works/1/cycles/1/sparkle.svg",
            "/works/1/cycles/1/warmth.svg?width=huge",
            "/works/1/cycles/2/warmth.svg",
            "/works/1/cycles/-1/warmth.svg",
            "/works/2/cycles/1/warmth.svg",
            "/families/sparkle.svg",
            "/families/rates.svg",
        ],
    )
    def test_a_chart_that_does_not_exist_is_no_page(self, studio: Studio, measured: int, address: str) -> None:
        answer = studio.browser.get(address)
        assert answer.status_code == 404
        assert "no such page" in Page(answer).words
