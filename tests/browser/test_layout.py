"""Every main page of the demo studio on a phone and on a laptop: nothing sticks out, all is named, all has come."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE

FIRST = (
    "/",
    "/clients/new",
    "/families",
    "/pigments",
    "/pigments/new",
    "/pigments/colour-index",
    "/pigments/1",
    "/pigments/1/edit",
    "/pigments/5",
    "/pigments/1/bottles/new",
    "/bottles/1",
    "/pigments/1/swatches/new",
    "/cards",
    "/cards/from-photo",
    "/about",
)
ABOUT_A_CLIENT = ("", "/edit", "/withdraw", "/works/new")
ABOUT_A_WORK = ("", "/sessions/new", "/follow-ups/new")
ABOUT_A_PHOTO = ("", "/marks")

STICKS_OUT = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
NAMELESS = """() => {
    const named = e => [...e.labels ?? []].some(l => l.textContent.trim()) || e.getAttribute('aria-label')
        || e.getAttribute('aria-labelledby') || e.textContent.trim() || e.querySelector('img')?.alt;
    const fields = 'input:not([type=hidden]), select, textarea, button, a[href], [role=img], [role=application]';
    const seen = [...document.querySelectorAll(fields)].filter(e => !e.closest('[aria-hidden=true]'));
    return seen.filter(e => !named(e)).map(e => e.outerHTML);
}"""
UNDESCRIBED = """() => [...document.images]
    .filter(i => !i.hasAttribute('alt') || (i.alt === '' && !i.closest('[aria-hidden=true]'))).map(i => i.src)"""
LATE = """() => {
    document.querySelectorAll('img[loading=lazy]').forEach(i => { i.loading = 'eager'; });
    return [...document.images].every(i => i.complete && i.naturalWidth > 0);
}"""


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["1280", "390"])
def test_every_main_page_is_whole(open_page, demo_studio, size):
    page, _ = open_page(demo_studio, size)
    faults = []
    for address in addresses(page):
        page.goto(address)
        page.wait_for_function(LATE)
        open_what_is_folded(page)
        expect(page.get_by_role("heading", level=1)).to_have_count(1)
        found = {
            "sticks out": page.evaluate(STICKS_OUT),
            "nameless": page.evaluate(NAMELESS),
            "pictures without words": page.evaluate(UNDESCRIBED),
        }
        faults += [f"{address}: {what} {value}" for what, value in found.items() if value]
    assert faults == []


def test_a_page_that_is_not_there_says_so_and_leads_back(open_page, demo_studio):
    page, watch = open_page(demo_studio, PHONE)
    watch.may_answer(404)
    page.goto("/nowhere")
    expect(page.get_by_role("alert")).to_contain_text("There is no such page")
    page.get_by_role("main").get_by_role("link").first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Today")


def addresses(page):
    """The main pages; of clients, works and photos those that the first page leads to."""
    works = links(page, ".works h3 a")
    page.goto(works[0])
    client, photo = links(page, ".crumbs a")[-1], links(page, ".photos .said a")[0]
    session = links(page, "a[href^='/sessions/']")[0]
    return [
        *FIRST,
        *(client + rest for rest in ABOUT_A_CLIENT),
        *(works[0] + rest for rest in ABOUT_A_WORK),
        *works[1:3],
        *(photo + rest for rest in ABOUT_A_PHOTO),
        session,
    ]


def links(page, selector):
    return page.locator(selector).evaluate_all("found => found.map(a => a.getAttribute('href'))")


def open_what_is_folded(page):
    page.locator("details").evaluate_all("all => all.forEach(d => { d.open = true; })")
