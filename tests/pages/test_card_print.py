import io

import pytest
from PIL import Image

from tests.page_reading import Page
from tests.studio import Studio


class TestThePage:
    def test_cards_leads_to_it(self, studio: Studio) -> None:
        assert 'href="/cards/print"' in studio.browser.get("/cards").text

    @pytest.mark.parametrize(("query", "paper"), [("", "A4"), ("?paper=a4", "A4"), ("?paper=letter", "US Letter")])
    def test_it_says_how_to_print_and_how_to_check(self, studio: Studio, query: str, paper: str) -> None:
        answer = studio.browser.get(f"/cards/print{query}")
        assert answer.status_code == 200
        words = Page(answer).words
        for needed in ("100 %", "matt", "black ink only", "40 mm", "not for absolute colour", f"on a sheet of {paper}"):
            assert needed in words
        assert 'href="/cards/print/sheet.pdf?paper=a4"' in answer.text
        assert 'href="/cards/print/sheet.pdf?paper=letter"' in answer.text

    @pytest.mark.parametrize("address", ["/cards/print", "/cards/print/sheet.pdf"])
    def test_an_unknown_paper_is_told_in_a_sentence(self, studio: Studio, address: str) -> None:
        answer = studio.browser.get(f"{address}?paper=papyrus")
        assert answer.status_code == 422
        assert "A4 and US Letter can be printed" in Page(answer).words

    def test_it_shows_a_strip(self, studio: Studio) -> None:
        answer = studio.browser.get("/cards/print/strip.png")
        assert answer.headers["content-type"] == "image/png"
        assert Image.open(io.BytesIO(answer.content)).size == (1004, 295)


class TestTheSheet:
    @pytest.mark.parametrize("paper", ["a4", "letter"])
    def test_it_is_a_pdf(self, studio: Studio, paper: str) -> None:
        answer = studio.browser.get(f"/cards/print/sheet.pdf?paper={paper}")
        assert answer.status_code == 200
        assert answer.headers["content-type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF")
        assert paper in answer.headers["content-disposition"]
