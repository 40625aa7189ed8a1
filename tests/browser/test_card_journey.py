"""A new card's values from one photo beside a known card: typed, sent, marked twice by mouse, looked at, kept."""

from playwright.sync_api import expect

from tests.browser.hands import Mouse, Stage
from tests.browser.walk import PHOTO_FIELD, follow, heading, press
from tests.photo.two_cards import KNOWN, KNOWN_BOX, NEW, NEW_BOX, TwoCards


def test_a_new_card_beside_a_known_one(desk, tmp_path):
    page, mouse = desk, Mouse(desk)
    follow(page, "Cards")
    page.get_by_label("Name", exact=True).fill("Known steps")
    page.get_by_label("Kind").select_option("step card")
    page.get_by_label("L* a* b* of its patches").fill("\n".join(" ".join(map(str, lab)) for lab in KNOWN))
    page.get_by_label("Where the values come from").select_option("instrument")
    press(page, "Add card")
    expect(page.get_by_role("heading", name="Known steps")).to_be_visible()
    follow(page, "Take a card's values from a photo")
    page.get_by_label("Name of the new card").fill("New steps")
    page.get_by_label("Kind of the new card").select_option("step card")
    page.get_by_label("Number of steps").fill(str(len(NEW)))
    photo = tmp_path / "cards.png"
    photo.write_bytes(TwoCards().file())
    page.get_by_label(PHOTO_FIELD).set_input_files(photo)
    press(page, "Send photo and mark it")
    heading(page, "1 of 2: mark the known card")
    expect(page.get_by_role("radio", name="Outline")).to_be_hidden()
    box_round(page, mouse, KNOWN_BOX)
    press(page, "Go on to the new card")
    heading(page, "2 of 2: mark the new card")
    box_round(page, mouse, NEW_BOX)
    press(page, "Measure and show")
    heading(page, "Values of New steps, not kept yet")
    expect(page.locator("main")).to_contain_text("Good: this photo can be trusted.")
    expect(page.locator("tbody tr")).to_have_count(len(NEW))
    press(page, "Keep these values as a card")
    expect(page.get_by_role("heading", name="New steps")).to_be_visible()


def box_round(page, mouse, box):
    stage = Stage(page)
    mouse.drag(stage.at(box[0], box[2]))
    expect(stage.states["card"]).to_have_text("marked")
