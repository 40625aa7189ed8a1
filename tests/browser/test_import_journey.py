"""A folder of old photos: listed, corrected, brought in, broken off and gone on with, as an artist does it."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.walk import add_client, add_session, add_work, follow, heading, press
from tests.synthetic import draw_photo


@pytest.fixture(params=[DESK, PHONE], ids=["1280", "390"])
def opened(request, open_page, empty_studio):
    return open_page(empty_studio, request.param)


def test_a_folder_is_imported_through_a_break(opened, tmp_path):
    page, watch = opened
    width = page.viewport_size["width"]
    name = f"Import{width}"
    folder = tmp_path / name
    folder.mkdir()
    for n in range(4):
        shown = draw_photo(seed=width + n, taken=f"2024:05:0{n + 1} 10:00:00" if n else "")
        (folder / f"left brow {n}.jpg").write_bytes(shown)
    (folder / "broken 2024-06-01.jpg").write_bytes(b"no photo")
    (folder / "list.txt").write_text("no photo either")

    add_client(page, name)
    add_work(page, "left brow")
    add_session(page, "2024-01-10", "powder brow", "Walnut", "hybrid")
    page.goto("/take-out")
    follow(page, "Import a folder of photos")
    page.get_by_label("Folder of photos").set_input_files(folder)
    expect(page.get_by_text("5 photos found. 1 other file is no photo by name")).to_be_visible()
    press(page, "Make the list")
    heading(page, "Import of")
    first = page.get_by_role("group", name="left brow 0.jpg")
    expect(first.get_by_label("Client")).to_have_value(name)
    expect(first.get_by_label("Work")).to_have_value("left brow")
    watch.may_answer(422)
    press(page, "These lines are right")
    day = first.get_by_label("Taken on")
    expect(day).to_be_focused()
    day.fill("2024-05-09")
    press(page, "These lines are right")
    expect(page.get_by_text("The folder is still chosen here.")).to_be_visible()

    # The third photo does not get through, as when the app is stopped: what is stored stays.
    sent = []

    def cut(route):
        sent.append(route.request.url)
        route.abort() if len(sent) == 3 else route.continue_()

    page.route("**/photos/*", cut)
    press(page, "Bring in")
    expect(page.get_by_text("The app did not answer.")).to_be_visible()
    page.unroute("**/photos/*")
    watch.troubles[:] = [t for t in watch.troubles if "ERR_FAILED" not in t]

    page.goto("/")
    follow(page, "Go on with the import")
    expect(page.locator("[data-counts]")).to_contain_text("3 ready to bring in, 1 stored, 1 refused")
    expect(page.get_by_role("button", name="Bring in", exact=True)).to_be_disabled()
    page.get_by_label("The same folder again").set_input_files(folder)
    press(page, "Bring in")
    expect(page.locator("[data-counts]")).to_contain_text("0 ready to bring in, 4 stored, 1 refused")
    expect(page.get_by_text("not a photo that can be read")).to_be_visible()
    follow(page, "Left half-finished")
    expect(page.get_by_text(f"{name}, left brow: the photo of 9 May 2024 is stored")).to_be_visible()
    expect(page.get_by_text(f"{name}, left brow: the photo of")).to_have_count(4)


def test_pause_waits_and_go_on_ends(opened, tmp_path):
    page, _ = opened
    width = page.viewport_size["width"]
    name = f"Pause{width}"
    folder = tmp_path / name
    folder.mkdir()
    for n in range(3):
        (folder / f"{n}.jpg").write_bytes(draw_photo(seed=width + 10 + n, taken="2024:05:01 10:00:00"))
    add_client(page, name)
    add_work(page, "left brow")
    add_session(page, "2024-01-10", "powder brow", "Walnut", "hybrid")
    page.goto("/imports/new")
    page.get_by_label("Folder of photos").set_input_files(folder)
    press(page, "Make the list")
    press(page, "These lines are right")
    held = []
    page.route("**/photos/*", lambda route: held.append(route), times=1)
    press(page, "Bring in")
    press(page, "Pause")
    expect(page.get_by_text("Pausing after this photo")).to_be_visible()
    held[0].continue_()
    expect(page.get_by_text("Paused: 1 of 3 gone through.")).to_be_visible()
    press(page, "Go on")
    expect(page.locator("[data-counts]")).to_contain_text("3 stored")


def test_a_folder_is_dropped_and_one_photo_that_the_app_cannot_answer_for_holds_up_no_other(opened, tmp_path):
    page, watch = opened
    width = page.viewport_size["width"]
    name = f"Drop{width}"
    (tmp_path / name / "old").mkdir(parents=True)
    for n in range(3):
        shown = draw_photo(seed=width + 20 + n, taken="2024:05:01 10:00:00")
        (tmp_path / name / "old" / f"{n}.jpg").write_bytes(shown)
    add_client(page, name)
    add_work(page, "left brow")
    add_session(page, "2024-01-10", "powder brow", "Walnut", "hybrid")
    page.goto("/imports/new")
    drop(page, "[data-folder-drop]", tmp_path / name)
    expect(page.get_by_text("3 photos found.")).to_be_visible()
    press(page, "Make the list")
    line = page.get_by_role("group", name=f"{name}/old/1.jpg")
    expect(line.get_by_label("Client")).to_have_value(name)
    press(page, "These lines are right")
    watch.may_answer(500)
    page.route("**/photos/*", lambda route: route.fulfill(status=500, body="-"), times=1)
    press(page, "Bring in")
    expect(page.get_by_text("1 still to come in, see below; the rest is done.")).to_be_visible()
    expect(page.locator("[data-refused]")).to_contain_text(f"{name}/old/0.jpg: The app refused with 500.")
    press(page, "Go on")
    expect(page.locator("[data-counts]")).to_contain_text("0 ready to bring in, 3 stored")


def drop(page, zone, path):
    """Drop a file or folder as the desktop does."""
    page.locator(zone).scroll_into_view_if_needed()
    rect = page.locator(zone).bounding_box()
    desk = page.context.new_cdp_session(page)
    for kind in ("dragEnter", "dragOver", "drop"):
        desk.send(
            "Input.dispatchDragEvent",
            {
                "type": kind,
                "x": rect["x"] + 20,
                "y": rect["y"] + 10,
                "data": {"items": [], "files": [str(path)], "dragOperationsMask": 1},
            },
        )
