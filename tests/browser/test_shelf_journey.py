"""The shelf by mouse and phone: a pasted label asked about, a bottle, a session mixed of two bottles, a swatch."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.hands import Mouse, Stage
from tests.browser.walk import GREY_CARD, PHOTO_FIELD, add_client, add_work, choose_card, follow, heading, press
from tests.synthetic import CARD_BOX, draw_photo, ellipse

LABEL = """Mixture for use in tattoos or permanent make-up
Ingredients: Aqua, CI 77491, CI 77891, quibble root extract
Contains nickel. Can cause allergic reactions.
LOT A17"""


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["1280", "390"])
def test_from_a_pasted_label_to_a_mixed_session(open_page, empty_studio, size):
    page, _ = open_page(empty_studio, size)
    mark = "wide" if size is DESK else "narrow"
    add_pigment(page, f"Umber {mark}", LABEL)
    answer_what_was_asked(page)
    add_bottle(page, "A17", "2099-03")
    add_pigment(page, f"Ink {mark}", "CI 77266, aqua")
    add_bottle(page, "OLD", "03/2021")
    expect(page.locator("main")).to_contain_text("This bottle expired on 31 Mar 2021.")
    find_on_the_shelf(page, f"ink {mark}")
    mix_a_session(page, mark)
    expect(page.locator("main")).to_contain_text("Since the first session")
    page.get_by_role("link", name="Change", exact=True).click()
    expect(page.get_by_label("Pigment 1", exact=True)).not_to_have_value("")
    expect(page.get_by_label("Parts", exact=True).first).not_to_have_value("")


def test_a_swatch_gives_the_pigments_colour(desk, tmp_path):
    page, mouse = desk, Mouse(desk)
    add_pigment(page, "Smeared", "CI 77499")
    follow(page, "Add a swatch")
    expect(page.get_by_text("no client's consent is needed")).to_be_visible()
    photo = tmp_path / "smear.jpg"
    photo.write_bytes(draw_photo(seed=31))
    page.get_by_label(PHOTO_FIELD).set_input_files(photo)
    choose_card(page, GREY_CARD)
    press(page, "Send photo and mark it")
    heading(page, "Mark card and smear")
    stage = Stage(page)
    stage.mark_card(mouse, CARD_BOX[0], CARD_BOX[2])
    stage.choose("Outline")
    places = stage.at(*ellipse((340.0, 290.0), (150.0, 22.0), 8))
    for place in [*places, places[0]]:
        mouse.click(place)
    press(page, "Measure and save")
    heading(page, "Swatch of")
    expect(page.get_by_role("img", name="Colour of the smear")).to_be_visible()
    expect(page.locator("dl.facts dd").first).to_contain_text("±")
    follow(page, "Back to the pigment")
    expect(page.get_by_role("img", name="Colour of the swatch")).to_be_visible()


def add_pigment(page, name, label):
    page.goto("/pigments")
    follow(page, "Add a pigment")
    page.get_by_label("Name on the bottle").fill(name)
    page.get_by_label("What the label prints").fill(label)
    press(page, "Add pigment")
    heading(page, name)


def answer_what_was_asked(page):
    asked = page.locator("section").filter(has=page.get_by_role("heading", name="Not understood: what is this?"))
    if asked.count():
        expect(asked).to_contain_text("“quibble root extract”")
        page.get_by_label("It is", exact=True).select_option("carrier")
        press(page, "Keep these answers")
    expect(asked).to_have_count(0)
    expect(page.get_by_role("heading", name="Family: inorganic")).to_be_visible()
    expect(page.locator("main")).to_contain_text("contains nickel")


def add_bottle(page, batch, expires):
    follow(page, "Add a bottle")
    page.get_by_label("Batch number").fill(batch)
    page.get_by_label("Expires").fill(expires)
    press(page, "Add bottle")
    expect(page.get_by_role("link", name=f"Batch {batch}")).to_be_visible()


def find_on_the_shelf(page, words):
    page.goto("/pigments")
    page.get_by_label("Find a pigment").fill(words)
    press(page, "Find")
    expect(page.locator(".shelf > li")).to_have_count(1)
    expect(page.locator(".shelf > li")).to_contain_text("Worth a look: batch OLD: expired")


def mix_a_session(page, mark):
    add_client(page, f"Mixed {mark}")
    add_work(page, "left brow")
    follow(page, "Add a session")
    page.get_by_label("Technique").select_option("powder brow")
    for number, (bottle, parts) in enumerate(((f"Umber {mark}, batch A17", "2"), (f"Ink {mark}, batch OLD", "1")), 1):
        choice = page.get_by_label(f"Pigment {number}", exact=True)
        value = choice.get_by_role("option").filter(has_text=bottle).get_attribute("value")
        choice.select_option(value)
        page.get_by_label("Parts", exact=True).nth(number - 1).fill(parts)
    expect(page.get_by_text("This bottle expired on 31 Mar 2021.")).to_be_visible()
    page.get_by_label("Parts of diluent").fill("1")
    page.get_by_label("Hand").select_option("light")
    press(page, "More pigments")
    expect(page.get_by_label("Pigment 5", exact=True)).to_be_visible()
    expect(page.get_by_label("Parts", exact=True).first).to_have_value("2")
    page.get_by_label("Parts of diluent").press("Enter")
