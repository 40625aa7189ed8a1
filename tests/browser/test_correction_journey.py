"""By keyboard and mouse: from a drifted work to what would bring it back, to another aim, and to a new choice."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.walk import LOADED, follow, heading, press

SIZES = tuple({"viewport": {"width": w, "height": h}} for w, h in ((390, 844), (1280, 800)))


@pytest.mark.parametrize("size", SIZES, ids=["phone", "desk"])
def test_from_a_drifted_work_to_what_would_bring_it_back(open_page, demo_studio, size):
    page, watch = open_page(demo_studio, size)
    page.goto("/")
    page.get_by_role("link", name="Juniper, left brow").first.click()
    follow(page, "What would bring it to its aim")
    heading(page, "What would bring it to its aim")
    expect(page.get_by_role("heading", name="What the shelf can reach")).to_be_visible()
    expect(page.get_by_role("img", name=re.compile("^Expected when healed")).first).to_be_visible()
    page.wait_for_load_state("networkidle")
    assert page.get_by_alt_text("Arrow from the present colour").evaluate_all(LOADED)
    assert page.evaluate("document.documentElement.scrollWidth") <= size["viewport"]["width"]

    # Another aim, lighter than what is there, by the keyboard alone.
    page.get_by_label("What it should come to").select_option("a colour I give")
    page.get_by_label("What it should come to").focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    for label, value in (("L*", "75"), ("a*", "10"), ("b*", "15")):
        page.get_by_label(label, exact=True).fill(value)
    page.get_by_label("b*", exact=True).press("Enter")
    expect(page.get_by_text("Adding pigment cannot get there")).to_be_visible()
    expect(page.get_by_label("L*", exact=True)).to_have_value("75")

    # And what is wrong is named beside the field, the rest kept.
    watch.may_answer(422)
    page.get_by_label("a*", exact=True).fill("red")
    press(page, "Show for this aim")
    expect(page.get_by_text("Give a number from")).to_be_visible()
    expect(page.get_by_label("a*", exact=True)).to_have_value("red")


@pytest.mark.parametrize("size", SIZES, ids=["phone", "desk"])
def test_choosing_for_a_new_work(open_page, demo_studio, size):
    page, _ = open_page(demo_studio, size)
    page.goto("/")
    page.get_by_role("link", name="Juniper", exact=False).first.click()
    page.get_by_role("link", name="Juniper", exact=True).click()
    follow(page, "Choose pigment")
    page.get_by_label("Technique").select_option("microblading")
    page.get_by_label("The client's wish").select_option("bold, and lasting")
    press(page, "Show")
    expect(page.get_by_text("bold, and lasting”")).to_be_visible()
    for family in ("carbon/organic", "inorganic", "hybrid"):
        expect(page.get_by_role("heading", name=family, exact=True)).to_be_visible()
    expect(page.get_by_role("img", name=re.compile("^after 3 years: L")).first).to_be_visible()
    expect(page.get_by_role("region", name="Side by side in figures")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= size["viewport"]["width"]
