import pytest

from tests.page_reading import refused
from tests.studio import Studio
from webapp.records.tables import Card


class TestCards:
    def test_a_studio_starts_with_the_plain_grey_card(self, studio: Studio) -> None:
        assert [(c.name, c.patches, c.values_known) for c in studio.rows(Card)] == [
            ("18 % grey card", [[49.5, 0, 0]], False)
        ]

    def test_a_strip_of_five_steps_is_added(self, studio: Studio) -> None:
        patches = "94 0 0\r\n78,5 0 −0,5\r\n62; 0; 0\r\n48, 0, 0\r\n35 0 0\r\n\r\n"
        assert studio.browser.post("/cards", data={"name": "Strip", "patches": patches}).status_code == 303
        strip = studio.rows(Card)[1]
        assert strip.patches == [[94, 0, 0], [78.5, 0, -0.5], [62, 0, 0], [48, 0, 0], [35, 0, 0]]
        assert strip.values_known

    @pytest.mark.parametrize(
        "patches",
        [
            "49.5 0",
            "49.5 0 0 0",
            "grey",
            "nan 0 0",
            "inf 0 0",
            "0 0 0",
            "101 0 0",
            "50 40 0",
            "50 0 -1e308",
            "50\n0\n0",
            "\n".join(["50 0 0"] * 13),
        ],
    )
    def test_values_that_are_no_greys_are_refused_and_kept(self, studio: Studio, patches: str) -> None:
        sent = {"name": "Strip", "patches": patches, "note": "from the maker"}
        page = refused(studio.browser.post("/cards", data=sent), "patches")
        assert page.fields == sent
        assert len(studio.rows(Card)) == 1

    @pytest.mark.parametrize("name", ["", "18 % GREY CARD"])
    def test_it_needs_a_name_of_its_own(self, studio: Studio, name: str) -> None:
        refused(studio.browser.post("/cards", data={"name": name, "patches": ""}), "name")
