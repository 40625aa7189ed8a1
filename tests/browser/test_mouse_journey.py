"""From the empty studio to a flagged work, by mouse on a laptop."""

import re

from playwright.sync_api import expect

from tests.browser.demo_story import demo_work, strip_values, upright_box
from tests.browser.hands import Mouse, Stage
from tests.browser.walk import (
    GREY_CARD,
    add_client,
    add_session,
    add_work,
    fill_photo_form,
    follow,
    heading,
    measure,
    pictures_are_loaded,
    press,
    send_photo,
)

STRIP = "Test strip"


def test_from_the_empty_studio_to_a_flagged_work(desk):
    story = demo_work("Heron", "left brow")
    page, mouse = desk, Mouse(desk)
    start_with_the_first_client(page)
    add_the_strip(page)
    work = add_the_work(page, story)
    first, *later = story.photos
    measure_the_first_photo(page, mouse, first)
    for photo in later:
        measure_a_later_photo(page, mouse, photo)
    add_another_client(page)

    page.goto(work)
    see_the_flagged_work(page, story)
    see_it_first_in_the_list(page)
    see_its_family(page, story)


def start_with_the_first_client(page):
    expect(page.get_by_role("heading", name="Your studio is empty")).to_be_visible()
    expect(page.get_by_role("listitem").first).to_contain_text("Add a client")
    follow(page, "Add the first client")
    page.get_by_label("Alias or code").fill("Reed")
    page.get_by_label("The client has agreed").check()
    page.get_by_label("count in the studio's figures").check()
    page.get_by_label("Agreed on").fill("2023-05-01")
    press(page, "Add client")
    heading(page, "Reed")
    expect(page.get_by_text("given on 1 May 2023")).to_have_count(2)


def add_the_strip(page):
    page.get_by_role("navigation").get_by_role("link", name="Cards").click()
    page.get_by_label("Name", exact=True).fill(STRIP)
    page.get_by_label("Kind").select_option("step card")
    page.get_by_label("of its patches").fill(strip_values())
    page.get_by_label("Where the values come from").select_option("maker")
    press(page, "Add card")
    expect(page.get_by_role("heading", name=STRIP)).to_be_visible()


def add_the_work(page, story):
    follow(page, "Healed Colour Almanac")
    follow(page, "Reed")
    add_work(page, "left brow")
    expect(page.get_by_text("No session yet")).to_be_visible()
    add_session(page, story.session["on"], story.session["technique"], "Walnut ink", story.family)
    return page.url


def measure_the_first_photo(page, mouse, photo):
    follow(page, "Add a follow-up")
    fill_photo_form(page, photo.file, photo.on, card_of(photo), "window light")
    expect(page.locator("[data-upload-status]")).to_contain_text(photo.file.name)
    press(page, "Send photo and mark it")
    heading(page, "Mark card and outline")
    stage = mark_card(page, mouse, photo)
    say = page.locator("[data-say]")
    expect(say).to_contain_text("Then choose “Outline”")
    stage.draw_anew()
    places = stage.at(*photo.outline)
    for place in places:
        mouse.click(place)
    expect(stage.states["outline"]).to_have_text(f"{len(photo.outline)} points, open")
    mouse.click(places[0])
    expect(stage.states["outline"]).to_have_text(f"{len(photo.outline)} points")
    expect(say).to_contain_text("Outline closed")
    measure(page)
    see_the_numbers(page)
    press(page, "Save this measurement")
    expect(page.locator(".photos li")).to_have_count(1)
    expect(page.locator(".photos li")).to_contain_text("baseline")


def measure_a_later_photo(page, mouse, photo):
    send_photo(page, photo.file, photo.on, card_of(photo))
    stage = mark_card(page, mouse, photo)
    stage.move_whole(mouse, photo.outline)
    stage.correct_points(mouse, photo.outline)
    measure(page)
    press(page, "Save this measurement")
    expect(page.locator(".photos")).to_be_visible()


def card_of(photo):
    return STRIP if len(photo.patches) > 1 else GREY_CARD


def mark_card(page, mouse, photo):
    stage = Stage(page)
    stage.mark_card(mouse, *upright_box(photo.corners))
    if len(photo.patches) > 1:
        stage.move_corners(mouse, photo.corners)
    return stage


def see_the_numbers(page):
    pictures_are_loaded(page, ".pair", 3)
    for name in ("Pigmented skin", "Bare skin"):
        colour = page.locator(".colour").filter(has=page.get_by_role("heading", name=name))
        expect(colour.locator("dd").first).to_have_text(re.compile(r"^\d+\.\d ± \d+\.\d$"))
        expect(colour.get_by_role("img", name=name)).to_be_visible()
        expect(colour.locator("rect")).to_have_attribute("fill", re.compile("^#[0-9a-f]{6}$"))
    expect(page.get_by_text(re.compile(r"^Density 0\."))).to_be_visible()


def add_another_client(page):
    add_client(page, "Alder")
    add_work(page, "right brow")


def see_the_flagged_work(page, story):
    expect(page.locator("main .flag").first).to_contain_text("ashy")
    expect(page.locator("main .sheet").first).to_contain_text("cooler")
    pictures_are_loaded(page, ".photos", len(story.photos))
    pictures_are_loaded(page, ".charts", 7)
    expect(page.get_by_role("heading", name="Direction of correction")).to_be_visible()
    expect(page.locator(".charts figure").first).to_contain_text("To come to the baseline")
    page.get_by_text("The figures, photo by photo").click()
    figures = page.get_by_role("table", name="Change against the baseline")
    expect(figures.locator("tbody tr")).to_have_count(len(story.photos))


def see_it_first_in_the_list(page):
    page.goto("/")
    lines = page.locator(".works > li")
    expect(lines).to_have_count(2)
    expect(lines.first).to_contain_text("Reed, left brow")
    expect(lines.first).to_contain_text("ashy")


def see_its_family(page, story):
    page.get_by_role("navigation").get_by_role("link", name="Pigment families").click()
    row = page.get_by_role("row").filter(has_text=story.family)
    expect(row).to_contain_text("too few clients")
    pictures_are_loaded(page, "figure.compared", 3)
