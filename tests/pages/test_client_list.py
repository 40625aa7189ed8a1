import pytest

from tests.page_reading import Page
from tests.studio import Studio


@pytest.fixture
def crowd(studio: Studio) -> Studio:
    for number in range(60):
        studio.add_client(f"Invented {number:02}", consent=False)
    return studio


def test_it_lists_fifty_and_leads_to_the_rest(crowd: Studio) -> None:
    answer = crowd.browser.get("/clients")
    assert "60 clients, 1 to 50 shown" in Page(answer).words
    assert 'rel="next" href="/clients?q=&amp;page=2"' in answer.text
    second = crowd.browser.get("/clients?q=&page=2")
    assert "60 clients, 51 to 60 shown" in Page(second).words
    assert 'rel="next"' not in second.text


def test_the_search_works_as_a_plain_form_and_keeps_the_words(crowd: Studio) -> None:
    page = Page(crowd.browser.get("/clients?q=invented+07"))
    assert page.fields["q"] == "invented 07"
    assert "1 client found for “invented 07”" in page.words
    assert "Invented 07 no work yet" in page.words


def test_the_piece_for_typing_is_the_list_alone(crowd: Studio) -> None:
    answer = crowd.browser.get("/clients/found?q=0")
    assert "<html" not in answer.text
    assert "15 clients found" in Page(answer).words
    assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize("q", ["<script>", "%00", "%ED%A0%80", "x" * 500, "%22%27"])
def test_any_words_are_safe(studio: Studio, q: str) -> None:
    answer = studio.browser.get(f"/clients?q={q}")
    assert answer.status_code == 200
    assert "0 clients found" in Page(answer).words
    assert "<script>" not in answer.text.replace('<script type="module"', "")


@pytest.mark.parametrize("number", ["0", "-1", "x", "99999", "9" * 40, "²"])
def test_a_page_that_is_not_there_is_no_error(studio: Studio, number: str) -> None:
    studio.add_client()
    assert studio.browser.get("/clients", params={"page": number}).status_code == 200
