import json
from datetime import date, timedelta

import pytest

from tests.page_reading import Page, refused
from tests.studio import Studio
from tests.synthetic import draw_photo
from webapp.records.tables import Client, Consent, FollowUp, MeasurementRow, PhotoFile, Session, Work

NEW = {"alias": "Robin", "skin_notes": "fair, thin", "consent": "yes", "consent_on": "2025-01-10"}


def test_an_empty_studio_says_how_to_begin(studio: Studio) -> None:
    page = Page(studio.browser.get("/"))
    assert "Your studio is empty" in page.words


def test_the_form_of_a_new_client_offers_today_as_the_day_of_consent(studio: Studio) -> None:
    page = Page(studio.browser.get("/clients/new"))
    assert page.fields["consent_on"] == date.today().isoformat()
    assert "consent" not in page.fields


def test_a_client_is_added_with_the_consent(studio: Studio) -> None:
    answer = studio.browser.post("/clients/new", data=NEW)
    assert (answer.status_code, answer.headers["location"]) == (303, "/clients/1")
    page = Page(studio.browser.get("/clients/1"))
    assert "given on 10 Jan 2025" in page.words
    assert "fair, thin" in page.words
    assert "Robin" in Page(studio.browser.get("/")).words


def test_a_client_may_be_added_without_consent(studio: Studio) -> None:
    client = studio.add_client(consent=False)
    assert "not on file" in Page(studio.browser.get(f"/clients/{client}")).words
    assert studio.rows(Consent) == []


AGREED = {"scopes": "photo storage", "consent_on": "2025-03-01"}
TOMORROW = (date.today() + timedelta(days=1)).isoformat()


@pytest.mark.parametrize(
    ("field", "entry", "sentence"),
    [
        ("alias", "", "Give an alias"),
        ("alias", "   ", "Give an alias"),
        ("alias", "x" * 81, "at most 80"),
        ("skin_notes", "ü" * 10_000, "at most 2000"),
        ("consent_on", TOMORROW, "in the future"),
        ("consent_on", "", "year-month-day"),
        ("consent_on", "10.1.2025", "year-month-day"),
        ("consent_on", "2025-02-30", "year-month-day"),
        ("consent_on", "0925-01-10", "before 1990"),
    ],
)
def test_a_wrong_entry_is_named_and_everything_typed_is_kept(
    studio: Studio, field: str, entry: str, sentence: str
) -> None:
    sent = NEW | {field: entry}
    page = refused(studio.browser.post("/clients/new", data=sent), field)
    assert sentence in page.wrong[field]
    assert {name: page.fields[name] for name in sent} == sent
    assert studio.rows(Client) == []


@pytest.mark.parametrize("again", ["Robin", "robin", "ROBIN ", "  robin"])
def test_an_alias_cannot_be_given_twice(studio: Studio, again: str) -> None:
    studio.add_client("Robin")
    page = refused(studio.browser.post("/clients/new", data=NEW | {"alias": again}), "alias")
    assert "already has this alias" in page.wrong["alias"]
    assert len(studio.rows(Client)) == 1


@pytest.mark.parametrize("alias", ["Änne", "ÄNNE", "Østrem", "Σοφία", "雪"])
def test_an_alias_in_other_letters_cannot_be_given_twice_either(studio: Studio, alias: str) -> None:
    studio.add_client(alias)
    refused(studio.browser.post("/clients/new", data=NEW | {"alias": alias}), "alias")
    refused(studio.browser.post("/clients/new", data=NEW | {"alias": alias.lower()}), "alias")


def test_alias_and_notes_can_be_changed(studio: Studio) -> None:
    client = studio.add_client()
    form = Page(studio.browser.get(f"/clients/{client}/edit"))
    assert (form.fields["alias"], form.fields["skin_notes"]) == ("Robin", "fair")
    answer = studio.browser.post(f"/clients/{client}/edit", data={"alias": "ROBIN", "skin_notes": "tanned"})
    assert answer.status_code == 303
    assert "ROBIN tanned" in Page(studio.browser.get(f"/clients/{client}")).words.replace("Skin notes ", "")


def test_changing_an_alias_to_one_that_is_taken_is_refused(studio: Studio) -> None:
    studio.add_client("Robin")
    second = studio.add_client("Wren")
    page = refused(studio.browser.post(f"/clients/{second}/edit", data={"alias": "Robin", "skin_notes": "x"}), "alias")
    assert (page.fields["alias"], page.fields["skin_notes"]) == ("Robin", "x")


class TestConsent:
    def test_it_can_be_recorded_later(self, studio: Studio) -> None:
        client = studio.add_client(consent=False)
        answer = studio.browser.post(f"/clients/{client}/consent", data=AGREED)
        assert answer.status_code == 303
        assert "given on 1 Mar 2025" in Page(studio.browser.get(f"/clients/{client}")).words

    def test_it_is_not_recorded_without_the_tick(self, studio: Studio) -> None:
        client = studio.add_client(consent=False)
        page = refused(studio.browser.post(f"/clients/{client}/consent", data={"consent_on": "2025-03-01"}), "scopes")
        assert page.fields["consent_on"] == "2025-03-01"
        assert studio.rows(Consent) == []

    def test_it_cannot_lie_in_the_future(self, studio: Studio) -> None:
        client = studio.add_client(consent=False)
        sent = {"scopes": "photo storage", "consent_on": TOMORROW, "consent_note": "signed"}
        page = refused(studio.browser.post(f"/clients/{client}/consent", data=sent), "consent_on")
        assert page.fields == sent

    def test_two_windows_record_it_once(self, studio: Studio) -> None:
        client = studio.add_client(consent=False)
        for _ in range(2):
            studio.browser.post(f"/clients/{client}/consent", data=AGREED)
        assert len(studio.rows(Consent)) == 1


class TestWithdrawal:
    def test_the_page_says_what_would_go_and_deletes_nothing(self, studio: Studio, measured: int) -> None:
        page = Page(studio.browser.get("/clients/1/withdraw"))
        assert "1 photo , 1 follow-up" in page.words
        assert len(studio.photo_files()) == 1

    def test_it_takes_photos_measurements_and_pictures_off_the_disk(self, studio: Studio, measured: int) -> None:
        assert studio.browser.get("/photos/1/whole.jpg").status_code == 200
        studio.browser.post("/follow-ups/1/marks", data=another_outline())  # a review that is never saved
        assert len(studio.pictures()) > 4
        answer = studio.browser.post("/clients/1/withdraw")
        assert "Deleted: 1 photo, 1 follow-up" in Page(answer).words
        assert studio.photo_files() == []
        assert studio.pictures() == []
        assert [studio.rows(t) for t in (PhotoFile, FollowUp, MeasurementRow)] == [[], [], []]
        assert studio.rows(Consent)[0].withdrawn_on == date.today()
        for gone in ("/follow-ups/1", "/photos/1/whole.jpg", "/follow-ups/1/balanced.jpg", "/follow-ups/1/marks"):
            assert studio.browser.get(gone).status_code == 404

    def test_works_and_sessions_stay(self, studio: Studio, measured: int) -> None:
        studio.browser.post("/clients/1/withdraw")
        assert len(studio.rows(Work)) == len(studio.rows(Session)) == 1
        assert studio.browser.get("/works/1").status_code == 200

    def test_other_clients_keep_theirs(self, studio: Studio, measured: int) -> None:
        other = studio.add_photo(studio.ready_work("Wren"), content=draw_photo(seed=2))
        studio.browser.post("/clients/1/withdraw")
        assert len(studio.photo_files()) == 1
        assert studio.browser.get(f"/follow-ups/{other}/marks").status_code == 200

    def test_afterwards_no_photo_can_be_stored_until_consent_is_given_anew(self, studio: Studio, work: int) -> None:
        studio.browser.post("/clients/1/withdraw")
        answer = studio.browser.post(
            f"/works/{work}/follow-ups/new",
            data={"on": "2025-04-01", "card": "1"},
            files={"photo": ("a.jpg", draw_photo())},
        )
        assert answer.status_code == 422
        assert studio.photo_files() == []
        studio.browser.post("/clients/1/consent", data=AGREED)
        assert studio.add_photo(work) == 1

    def test_withdrawing_twice_is_no_error(self, studio: Studio, measured: int) -> None:
        studio.browser.post("/clients/1/withdraw")
        assert "Deleted: 0 photos" in Page(studio.browser.post("/clients/1/withdraw")).words

    def test_a_file_that_cannot_be_deleted_is_said_and_can_be_tried_again(
        self, studio: Studio, measured: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def stuck(_: str) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(studio.browser.app.state.photo_files, "discard", stuck)
        answer = studio.browser.post("/clients/1/withdraw")
        assert answer.status_code == 507
        assert "cannot be written to" in Page(answer).words
        monkeypatch.undo()
        assert len(studio.rows(PhotoFile)) == 1
        assert studio.rows(Consent)[0].withdrawn_on is None
        studio.browser.post("/clients/1/withdraw")
        assert studio.photo_files() == []


def another_outline() -> dict[str, str]:
    from tests.studio import MARKS

    moved = [[x + 3, y] for x, y in json.loads(MARKS["outline"])]
    return MARKS | {"outline": json.dumps(moved)}
