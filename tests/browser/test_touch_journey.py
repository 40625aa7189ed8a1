"""A short series on a phone, by finger: card box, freehand outline, pinch, the offered outline moved."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.demo_story import demo_work, upright_box
from tests.browser.hands import Fingers
from tests.browser.walk import (
    add_client,
    add_session,
    add_work,
    follow,
    heading,
    measure,
    pictures_are_loaded,
    press,
    send_photo,
)


@pytest.fixture
def fingers(phone):
    return Fingers(phone)


def test_three_follow_ups_on_a_phone(phone, fingers):
    story = demo_work("Heron", "left brow")
    photos = [p for p in story.photos if len(p.patches) == 1]
    expect(phone.get_by_role("heading", name="Your studio is empty")).to_be_visible()
    add_client(phone, "Reed")
    add_work(phone, "left brow")
    add_session(phone, story.session["on"], story.session["technique"], "Walnut ink", story.family)

    draw_the_first(phone, fingers, photos[0])
    for photo in (photos[len(photos) // 2], photos[-1]):
        move_the_offered(phone, fingers, photo)

    pictures_are_loaded(phone, ".photos", 3)
    pictures_are_loaded(phone, ".charts", 7)
    expect(phone.locator("main .flag").first).to_contain_text("ashy")
    expect(phone.get_by_role("heading", name="Direction of correction")).to_be_visible()


def draw_the_first(phone, fingers, photo):
    stage = send_photo(phone, photo.file, photo.on)
    stage.mark_card(fingers, *upright_box(photo.corners))
    pinch_and_come_back(stage, fingers)
    stage.draw_anew()
    fingers.drag(stage.at(*photo.outline, photo.outline[0]))
    expect(stage.states["outline"]).to_have_text(re.compile(r"^\d+ points$"))
    measure(phone)
    pictures_are_loaded(phone, ".pair", 3)
    press(phone, "Save this measurement")
    expect(phone.locator(".photos li")).to_have_count(1)


def pinch_and_come_back(stage, fingers):
    box = stage.area.bounding_box()
    fingers.pinch((box["x"] + box["width"] / 2, box["y"] + box["height"] / 2), 40, 120)
    expect(stage.area).to_have_attribute("data-zoom", re.compile(r"^[23]\.\d\d$"))
    expect(stage.states["card"]).to_have_text("marked")
    stage.press("Whole photo")
    expect(stage.area).to_have_attribute("data-zoom", "1.00")
    stage.area.scroll_into_view_if_needed()


def move_the_offered(phone, fingers, photo):
    stage = send_photo(phone, photo.file, photo.on)
    stage.mark_card(fingers, *upright_box(photo.corners))
    stage.choose("Outline")
    stage.move_whole(fingers, photo.outline)
    measure(phone)
    press(phone, "Save this measurement")
    heading(phone, "Reed, left brow")
    expect(phone.locator(".photos")).to_be_visible()


def test_the_pages_of_an_empty_studio_are_reached_by_finger(phone):
    for name, words in (("Families", "pigment families"), ("Pigments", "Pigments"), ("How", "How it measures")):
        phone.get_by_role("navigation").get_by_role("link", name=name, exact=True).tap()
        heading(phone, words)
    follow(phone, "Healed Colour Almanac")
    heading(phone, "Today")
