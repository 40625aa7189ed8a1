"""The ways through the pages that several journeys share, each by the page's own links, fields and buttons."""

import re

from playwright.sync_api import expect

from tests.browser.hands import Stage

GREY_CARD = "18 % grey card"
PHOTO_FIELD = re.compile(r"^\s*Photo\b")
NOTE_FIELD = re.compile(r"^\s*Note\b")
LOADED = "images => images.every(i => i.complete && i.naturalWidth > 0)"


def press(page, name):
    page.get_by_role("button", name=name, exact=True).click()


def follow(page, name):
    page.get_by_role("link", name=name, exact=True).click()


def heading(page, words):
    expect(page.get_by_role("heading", level=1)).to_contain_text(words)


def add_client(page, alias, consent_on="2023-01-09"):
    """Add a client from the first page; ends on the client's page."""
    page.goto("/clients/new")
    page.get_by_label("Alias or code").fill(alias)
    if consent_on:
        page.get_by_label("The client has agreed").check()
        page.get_by_label("Agreed on").fill(consent_on)
    press(page, "Add client")
    heading(page, alias)


def add_work(page, site):
    """From the client's page to the new work's page."""
    follow(page, "Add a work")
    page.get_by_label(site, exact=True).check()
    press(page, "Add work")
    heading(page, site)


def add_session(page, on, technique, pigment, family):
    """From the work's page and back to it, with a pigment that may not be on the shelf yet."""
    follow(page, "Add a session")
    page.get_by_label("Date", exact=True).fill(on)
    page.get_by_label("Technique").select_option(technique)
    shelved = page.get_by_label("Pigment 1", exact=True).get_by_role("option").filter(has_text=pigment)
    if shelved.count():
        page.get_by_label("Pigment 1", exact=True).select_option(shelved.first.get_attribute("value"))
    else:
        page.get_by_label("Name on the bottle").fill(pigment)
        page.get_by_label("Family").select_option(family)
    press(page, "Add session")
    expect(page.get_by_text("Since the")).to_be_visible()


def client_with_work(page, alias, site="left brow", on="2023-05-16", consent_on="2023-01-09"):
    """A client with one work and its session; gives the address of the work's page."""
    add_client(page, alias, consent_on)
    add_work(page, site)
    add_session(page, on, "powder brow", "Test brown", "hybrid")
    return page.url


def fill_photo_form(page, file, on="", card=GREY_CARD, note=""):
    page.get_by_label(PHOTO_FIELD).set_input_files(file)
    page.get_by_label("Taken on").fill(on)
    choose_card(page, card)
    page.get_by_label(NOTE_FIELD).fill(note)


def choose_card(page, card):
    choice = page.get_by_label("Card in the photo")
    choice.select_option(choice.get_by_role("option").filter(has_text=card).get_attribute("value"))


def send_photo(page, file, on="", card=GREY_CARD, note=""):
    """From the work's page to the marks of a new photo."""
    follow(page, "Add a follow-up")
    fill_photo_form(page, file, on, card, note)
    press(page, "Send photo and mark it")
    heading(page, "Mark card and outline")
    return Stage(page)


def measure(page):
    """From the marks to what was measured."""
    press(page, "Measure and show")
    heading(page, "What was measured, not saved yet")


def pictures_are_loaded(page, scope, count):
    """`count` pictures inside `scope` have really come, also those that load only once they are in sight."""
    pictures = page.locator(scope).locator("img")
    expect(pictures).to_have_count(count)
    for number in range(count):
        pictures.nth(number).scroll_into_view_if_needed()
    page.wait_for_function(f"([scope]) => ({LOADED})([...document.querySelectorAll(scope + ' img')])", arg=[scope])
