"""What the browser shows when something does not go as meant, and that nothing typed or marked is lost."""

import re

import pytest
from PIL import Image
from pillow_heif import from_pillow
from playwright.sync_api import expect

from tests.browser.conftest import DESK
from tests.browser.demo_story import demo_work, upright_box
from tests.browser.hands import Mouse, Stage
from tests.browser.walk import (
    client_with_work,
    fill_photo_form,
    follow,
    heading,
    measure,
    pictures_are_loaded,
    press,
    send_photo,
)

PHOTOS = iter([p for p in demo_work("Heron", "left brow").photos if len(p.patches) == 1])
SEND = "Send photo and mark it"


@pytest.fixture
def opened(open_page, empty_studio):
    """A page on a laptop, and the watch over it."""
    return open_page(empty_studio, DESK)


@pytest.fixture
def photo():
    """Another photo for every test: one photo belongs to one client only."""
    return next(PHOTOS)


def draw_outline(stage, mouse, points):
    stage.choose("Outline")
    for place in stage.at(*points):
        mouse.click(place)
    stage.press("Close outline")


def test_a_text_file_called_jpg_is_told_and_the_entries_stay(opened, photo, tmp_path):
    page, watch = opened
    watch.may_answer(422)
    client_with_work(page, "No photo")
    fake = tmp_path / "brow.jpg"
    fake.write_text("This is no photo.")
    follow(page, "Add a follow-up")
    fill_photo_form(page, fake, photo.on, note="lamp by the window")
    press(page, SEND)
    expect(page.locator("#photo-wrong")).to_be_visible()
    expect(page.get_by_role("alert").first).to_be_focused()
    expect(page.get_by_label("Taken on")).to_have_value(photo.on)
    expect(page.locator("#note")).to_have_value("lamp by the window")
    expect(page.locator("[data-upload-status]")).to_contain_text("brow.jpg")
    page.locator("#photo").set_input_files(photo.file)
    press(page, SEND)
    heading(page, "Mark card and outline")


def test_a_slow_upload_shows_how_far_it_is_and_can_be_stopped(opened, photo):
    page, _ = opened
    client_with_work(page, "Slow line")
    line = page.context.new_cdp_session(page)
    slow = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": 20_000}
    line.send("Network.enable")
    line.send("Network.emulateNetworkConditions", slow)
    follow(page, "Add a follow-up")
    expect(page.get_by_role("button", name="Stop sending")).to_be_hidden()
    fill_photo_form(page, photo.file, photo.on, note="a slow line")
    press(page, SEND)
    expect(page.locator("[data-upload-progress]")).to_be_visible()
    expect(page.locator("[data-upload-status]")).to_have_text(re.compile(r"Sending … \d+ %"))
    press(page, "Stop sending")
    expect(page.locator("[data-upload-status]")).to_contain_text("Stopped")
    expect(page.get_by_role("button", name=SEND)).to_be_enabled()
    expect(page.locator("#note")).to_have_value("a slow line")
    assert page.locator("#photo").evaluate("input => input.files[0].name") == photo.file.name


def test_an_outline_that_crosses_itself_is_told_at_once_and_by_the_server(opened, photo):
    page, watch = opened
    watch.may_answer(422)
    mouse = Mouse(page)
    client_with_work(page, "Crossed")
    stage = send_photo(page, photo.file, photo.on)
    stage.mark_card(mouse, *upright_box(photo.corners))
    stage.draw_anew()
    quarter = len(photo.outline) // 4
    a, b, c, d = (photo.outline[i * quarter] for i in range(4))
    draw_outline(stage, mouse, (a, c, b, d))
    expect(stage.states["outline"]).to_contain_text("crossed")
    expect(page.locator("[data-say]")).to_contain_text("crosses itself")
    expect(page.locator("[data-crossing=edge]")).to_have_attribute("d", re.compile("^M"))
    press(page, "Measure and show")
    expect(page.locator("#outline-wrong")).to_contain_text("crosses itself")
    stage = Stage(page)
    expect(stage.states["card"]).to_have_text("marked")
    stage.press("Start outline again")
    draw_outline(stage, mouse, photo.outline)
    measure(page)


def test_a_photo_left_half_finished_is_gone_on_with(opened, photo):
    page, _ = opened
    mouse = Mouse(page)
    client_with_work(page, "Called away")
    stage = send_photo(page, photo.file, photo.on)
    stage.mark_card(mouse, *upright_box(photo.corners))
    stage.draw_anew()
    draw_outline(stage, mouse, photo.outline)
    page.wait_for_load_state("networkidle")  # every mark is sent as it is made
    window = page.context
    page.close()

    page = window.new_page()
    page.goto("/")
    left = page.get_by_role("region", name="Left half-finished")
    left.get_by_role("listitem").filter(has_text="Called away").get_by_role("link").click()
    stage = Stage(page)
    expect(stage.states["card"]).to_have_text("marked")
    expect(stage.states["outline"]).to_have_text(f"{len(photo.outline)} points")
    measure(page)
    press(page, "Save this measurement")
    pictures_are_loaded(page, ".photos", 1)
    page.goto("/")
    expect(page.get_by_role("region").filter(has_text="Called away, left brow: the photo")).to_have_count(0)


def test_without_consent_no_photo_is_taken_and_it_is_said_how(opened):
    page, _ = opened
    client_with_work(page, "Not asked", consent_on="")
    follow(page, "Add a follow-up")
    expect(page.get_by_role("alert")).to_contain_text("No consent to keep photos is on file")
    expect(page.locator("input[type=file]")).to_have_count(0)
    follow(page, "Record the consent")
    page.get_by_label("The client has agreed").check()
    press(page, "Record consent")
    expect(page.get_by_text("given on")).to_be_visible()
    follow(page, "left brow")
    follow(page, "Add a follow-up")
    expect(page.locator("input[type=file]")).to_have_count(1)


def test_a_heic_photo_is_taken_and_shown(opened, photo, tmp_path):
    page, _ = opened
    client_with_work(page, "From a phone")
    heic = tmp_path / "brow.heic"
    with Image.open(photo.file) as picture:
        from_pillow(picture).save(heic)
    stage = send_photo(page, heic, photo.on)
    stage.mark_card(Mouse(page), *upright_box(photo.corners))
    pictures_are_loaded(page, "[data-stage]", 1)


def test_undo_redo_and_zoom_do_what_they_say(opened, photo):
    page, _ = opened
    client_with_work(page, "Second thoughts")
    stage = send_photo(page, photo.file, photo.on)
    stage.mark_card(Mouse(page), *upright_box(photo.corners))
    stage.press("Undo")
    expect(stage.states["card"]).to_have_text("not marked yet")
    stage.press("Redo")
    expect(stage.states["card"]).to_have_text("marked")
    for button, zoom in (("Zoom in", "1.50"), ("Zoom in", "2.25"), ("Zoom out", "1.50"), ("Whole photo", "1.00")):
        stage.press(button)
        expect(stage.area).to_have_attribute("data-zoom", zoom)
    expect(page.get_by_role("button", name="Zoom out")).to_have_attribute("aria-disabled", "true")
