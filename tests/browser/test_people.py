"""Clients found, merged, agreed with, aimed for and handed their sheet, as an artist does it in the browser."""

import io
import re
import unicodedata

import pypdf
import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.walk import add_client, add_work, follow, heading, press


@pytest.fixture(params=[DESK, PHONE], ids=["1280", "390"])
def opened(request, open_page, demo_studio):
    return open_page(demo_studio, request.param)


@pytest.fixture
def page(opened):
    return opened[0]


def test_a_client_is_found_while_typing_and_opened_by_keys(page):
    page.goto("/clients")
    field = page.get_by_label("Find a client")
    field.press_sequentially("JUNI")
    found = page.locator("[data-found]")
    expect(found.get_by_role("status")).to_contain_text("found for “JUNI”")
    expect(found.get_by_role("link", name="Wren")).to_have_count(0)
    expect(page).to_have_url(re.compile("q=JUNI"))
    field.press("ArrowDown")
    expect(found.get_by_role("link", name="Juniper").first).to_be_focused()
    page.keyboard.press("Enter")
    heading(page, "Juniper")


def test_without_a_script_the_search_is_a_form(browser, demo_studio):
    context = browser.new_context(base_url=demo_studio, java_script_enabled=False)
    page = context.new_page()
    page.goto("/clients")
    page.get_by_label("Find a client").fill("wren")
    press(page, "Find")
    expect(page.get_by_role("status")).to_contain_text("1 client found")
    follow(page, "Wren")
    heading(page, "Wren")
    context.close()


def test_two_records_of_one_person_are_merged(page):
    name = f"Twice {page.viewport_size['width']}"
    add_client(page, name)
    add_work(page, "left brow")
    add_client(page, f"{name} again")
    add_work(page, "left brow")
    page.go_back()
    page.goto("/clients?q=" + name)
    follow(page, name)
    follow(page, "Merge with another record…")
    follow(page, f"{name} again")
    heading(page, f"Merge “{name} again” into “{name}”?")
    page.get_by_label("Join the two records of the left brow").check()
    press(page, "Merge the two records")
    heading(page, f"is now part of {name}")
    expect(page.get_by_role("status")).to_contain_text("1 work joined")
    page.goto("/clients?q=" + name)
    expect(page.get_by_role("status")).to_contain_text("1 client found")


def test_a_consent_is_given_printed_and_withdrawn(page):
    add_client(page, f"Asked {page.viewport_size['width']}")
    follow(page, "Consents")
    page.get_by_role("checkbox", name="the measured colours count").check()
    page.get_by_label("Scope in more detail").fill("signed on paper")
    press(page, "Record consent")
    follow(page, "Consents")
    expect(page.get_by_text("in force, given on")).to_have_count(2)
    follow(page, "Page to print and sign")
    printed = pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    assert len(printed.pages) == 1
    text = printed.pages[0].extract_text()
    assert "Signature of the client" in text
    assert "How it measures" not in text
    page.go_back()
    follow(page, "Withdraw consent to studio statistics…")
    press(page, "Withdraw")
    expect(page.get_by_role("status")).to_contain_text(
        "Taken out of every pooled figure of the studio: 0 measured works"
    )


def test_a_spot_on_a_photo_becomes_the_aim(opened):
    page, watch = opened
    watch.may_answer(422)
    page.goto("/works/1")
    page.get_by_role("link", name=re.compile("aim", re.IGNORECASE)).first.click()
    heading(page, "The colour to reach")
    page.get_by_role("link", name=re.compile("Pick a spot on")).last.click()
    picture = page.locator("[data-spot] svg")
    box = picture.bounding_box()
    picture.click(position={"x": box["width"] * 0.4, "y": box["height"] * 0.55})
    expect(page).to_have_url(re.compile("across=40"))
    expect(page.get_by_label("Across")).to_have_value("40")
    press(page, "Record this aim")
    expect(page.get_by_text("Tick that the client has agreed")).to_be_visible()
    page.get_by_label("The client has agreed to this aim").check()
    page.get_by_label("In words").fill("a little softer")
    press(page, "Record this aim")
    expect(page.get_by_text("The agreed aim, from the photo")).to_be_visible()
    expect(page.get_by_role("img", name="The agreed aim")).to_be_visible()


def test_the_sheet_is_saved_as_a_pdf_and_prints_on_one_page(page):
    page.goto("/works/1")
    follow(page, "Sheet for the client")
    heading(page, "Juniper, left brow")
    page.wait_for_function("() => [...document.images].every(i => i.complete && i.naturalWidth > 0)")
    printed = pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    assert len(printed.pages) == 1
    with page.expect_download() as saving:
        follow(page, "Save as PDF")
    saved = pypdf.PdfReader(saving.value.path())
    assert re.fullmatch(r"Juniper-left-brow-\d{4}-\d\d-\d\d\.pdf", saving.value.suggested_filename)
    both = [bare(r.pages[0].extract_text()) for r in (printed, saved)]
    told = page.locator("article p").all_inner_texts()
    assert len(told) > 8
    for sentence in told:
        assert all(bare(sentence) in text for text in both), sentence


def bare(text):
    """Without spaces, and with ligatures as the letters that they stand for."""
    return re.sub(r"\s", "", unicodedata.normalize("NFKC", text))


def test_questions_are_asked_and_the_history_tells_of_them(page):
    add_client(page, f"Questioned {page.viewport_size['width']}")
    follow(page, "Questions before work")
    group = page.get_by_role("group", name="A mole, a lesion")
    group.get_by_label("yes").check()
    group.get_by_label("in her words").fill("near the tail")
    page.get_by_role("group", name="Diabetes").get_by_label("no", exact=True).check()
    press(page, "Keep these answers")
    expect(page.get_by_text("Ask a doctor before any work")).to_be_visible()
    page.locator(".crumbs a").first.click()
    follow(page, "History")
    expect(page.get_by_text("Answered with yes: A mole, a lesion")).to_be_visible()


SHOWN = ("history", "skin", "questions", "consents", "consents/print", "merge", "edit", "works/new")


def test_the_demo_tells_of_skin_and_answers(page):
    page.goto("/clients/1")
    expect(page.get_by_text("Answered with yes: Allergies")).to_be_visible()
    follow(page, "Skin")
    expect(page.get_by_text("rosy, cool")).to_be_visible()
    expect(page.get_by_text("sound photos")).to_be_visible()


def test_none_of_the_pages_sticks_out(page):
    faults = []
    addresses = ["/clients", *(f"/clients/1/{p}" for p in SHOWN), "/clients/1/merge/2"]
    addresses += [
        "/works/1/aim",
        "/works/1/aim/spot?follow_up=2",
        "/works/1/sheet",
        "/clients/1/withdraw?scope=teaching",
    ]
    for address in addresses:
        page.goto(address)
        expect(page.get_by_role("heading", level=1)).to_have_count(1)
        if page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"):
            faults.append(address)
    assert faults == []
