"""An outline is offered and only wants a nod: by mouse, by finger and by keyboard; a corrected one keeps its origin."""

import re

from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.demo_story import demo_work, upright_box
from tests.browser.hands import Fingers, Mouse
from tests.browser.test_keyboard_only import Keys
from tests.browser.walk import client_with_work, measure, press, send_photo

FROM = "input[name=outline_from]"


def test_the_first_is_proposed_and_the_next_are_carried_over(open_page, empty_studio):
    photos = [p for p in demo_work("Heron", "left brow").photos if len(p.patches) == 1]
    page, _ = open_page(empty_studio, DESK)
    work = client_with_work(page, "Nod")

    stage = send_photo(page, photos[0].file, photos[0].on)
    stage.mark_card(Mouse(page), *upright_box(photos[0].corners))
    stage.choose("Outline")
    expect(page.locator("[data-say]")).to_contain_text("Proposed from this photo alone")
    expect(page.locator(FROM)).to_have_value("proposed")
    stage.press("The outline fits")
    expect(stage.states["outline"]).to_have_text(re.compile(r"^\d+ points$"))
    Mouse(page).drag([stage.at(stage.outline[0])[0], stage.at((stage.outline[0][0] + 9, stage.outline[0][1]))[0]])
    expect(page.locator(FROM)).to_have_value("proposed")
    save(page)

    stage = send_photo(page, photos[1].file, photos[1].on)
    stage.mark_card(Mouse(page), *upright_box(photos[1].corners))
    stage.choose("Outline")
    expect(page.locator("[data-say]")).to_contain_text("Carried over from 1 Jul 2023; likely within")
    Keys(page).send("The outline fits")
    expect(page.get_by_role("button", name="The outline fits")).to_be_hidden()
    expect(page.locator("[data-stage]")).to_be_focused()
    expect(page.locator(FROM)).to_have_value("carried over")
    page.reload()  # what was nodded is kept
    expect(stage.states["outline"]).to_have_text(re.compile(r"^\d+ points$"))
    expect(page.locator(FROM)).to_have_value("carried over")
    save(page)

    phone, _ = open_page(empty_studio, PHONE)
    phone.goto(work)
    stage = send_photo(phone, photos[2].file, photos[2].on)
    stage.mark_card(Fingers(phone), *upright_box(photos[2].corners))
    phone.reload()  # an outline that was not nodded is offered again
    stage.choose("Outline")
    expect(stage.states["outline"]).to_contain_text("to check")
    phone.get_by_role("button", name="Draw it anew").tap()
    expect(stage.states["outline"]).to_have_text("not marked yet")
    stage.press("Undo")
    expect(stage.states["outline"]).to_contain_text("to check")
    phone.get_by_role("button", name="The outline fits").tap()
    save(phone)


def save(page):
    measure(page)
    press(page, "Save this measurement")
    expect(page.locator(".photos")).to_be_visible()
