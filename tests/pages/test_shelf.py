import pytest

from tests.page_reading import Page, refused
from tests.studio import Studio
from webapp.records.tables import Pigment


class TestPigments:
    def test_one_is_added(self, studio: Studio) -> None:
        answer = studio.browser.post("/pigments", data={"name": "Oak", "family": "inorganic", "note": "CI 77491"})
        assert answer.status_code == 303
        assert "Oak inorganic CI 77491" in Page(studio.browser.get("/pigments")).words

    @pytest.mark.parametrize(
        ("field", "entry"),
        [("name", ""), ("name", "o" * 121), ("family", ""), ("family", "herbal"), ("note", "n" * 2001)],
    )
    def test_a_wrong_entry_is_named_and_the_rest_kept(self, studio: Studio, field: str, entry: str) -> None:
        sent = {"name": "Oak", "family": "inorganic", "note": "CI 77491", field: entry}
        page = refused(studio.browser.post("/pigments", data=sent), field)
        assert {k: v for k, v in page.fields.items() if k != "family"} == {k: sent[k] for k in ("name", "note")}
        assert studio.rows(Pigment) == []

    @pytest.mark.parametrize("again", ["Öak", "öak", "ÖAK"])
    def test_a_name_cannot_be_given_twice(self, studio: Studio, again: str) -> None:
        studio.browser.post("/pigments", data={"name": "Öak", "family": "inorganic"})
        refused(studio.browser.post("/pigments", data={"name": again, "family": "hybrid"}), "name")
