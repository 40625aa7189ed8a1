import pytest

from tests.page_reading import Page
from tests.studio import Studio
from tests.synthetic import draw_photo
from webapp.records.tables import Client, Consent, FollowUp, PhotoFile, Session, Work


@pytest.fixture
def twice(studio: Studio, measured: int) -> Studio:
    """Robin with a measured brow, and the same person a second time with a photo of the same brow."""
    work = studio.ready_work("Robin B.")
    studio.measure(studio.add_photo(work, "2025-06-01", draw_photo(seed=5)), on="2025-06-01")
    return studio


def test_it_offers_who_may_be_the_same_person_and_a_search(twice: Studio) -> None:
    twice.add_client("Wren")
    page = twice.browser.get("/clients/1/merge")
    assert 'href="/clients/1/merge/2"' in page.text
    assert "Wren" not in Page(page).words
    assert 'href="/clients/1/merge/3"' in twice.browser.get("/clients/1/merge?q=wre").text
    assert "No other record holds" in Page(twice.browser.get("/clients/1/merge?q=robin+q")).words


def test_both_are_shown_before_anything_is_changed(twice: Studio) -> None:
    page = Page(twice.browser.get("/clients/1/merge/2"))
    assert "Merge “Robin B.” into “Robin”?" in page.words
    assert "To “Robin” move" in page.words
    assert "1 photo" in page.words
    assert "photo storage: in force" in page.words
    assert len(twice.rows(Client)) == 2


def test_merged_they_are_one_with_everything(twice: Studio) -> None:
    answer = twice.browser.post("/clients/1/merge/2", data={"alias": "other"})
    assert answer.status_code == 200
    assert "is now part of Robin B." in Page(answer).words
    assert [c.alias for c in twice.rows(Client)] == ["Robin B."]
    assert {w.client_id for w in twice.rows(Work)} == {1}
    assert {p.client_id for p in twice.rows(PhotoFile)} == {1}
    assert len(twice.rows(Consent)) == len(twice.rows(Session)) == len(twice.rows(FollowUp)) == 2
    assert twice.browser.get("/clients/2").status_code == 404
    assert twice.browser.get("/follow-ups/2/balanced.jpg").status_code == 200
    assert "alias Robin" in Page(twice.browser.get("/clients/1")).words


def test_two_records_of_one_brow_can_be_joined(twice: Studio) -> None:
    answer = twice.browser.post("/clients/1/merge/2", data={"join": "2"})
    assert "1 work joined" in Page(answer).words
    assert [w.id for w in twice.rows(Work)] == [1]
    assert {f.work_id for f in twice.rows(FollowUp)} == {s.work_id for s in twice.rows(Session)} == {1}
    assert twice.browser.get("/works/1").status_code == 200


@pytest.mark.parametrize("join", ["99", "1", "x", "-1", "2; DROP"])
def test_works_that_do_not_lie_on_one_site_are_not_joined(twice: Studio, join: str) -> None:
    assert twice.browser.post("/clients/1/merge/2", data={"join": join}).status_code == 200
    assert len(twice.rows(Work)) == 2


def test_a_withdrawal_in_one_record_is_minded(twice: Studio) -> None:
    twice.browser.post("/clients/2/withdraw")
    page = Page(twice.browser.get("/clients/1/merge/2"))
    assert "no consent to photo storage would be in force" in page.words
    answer = twice.browser.post("/clients/1/merge/2", data={})
    assert answer.status_code == 422
    assert len(twice.rows(Client)) == 2
    assert len(twice.rows(PhotoFile)) == 1


@pytest.mark.parametrize("address", ["/clients/1/merge/1", "/clients/1/merge/99", "/clients/99/merge/1"])
def test_a_record_that_is_not_another_is_refused(twice: Studio, address: str) -> None:
    assert twice.browser.get(address).status_code in (404, 422)
    assert twice.browser.post(address, data={}).status_code in (404, 422)
    assert len(twice.rows(Client)) == 2
