"""Who is due, by the studio's own intervals; and a studio taken out of one folder and brought into another."""

import zipfile

from playwright.sync_api import expect

from tests.browser.walk import add_client, add_session, add_work, follow, heading, press


def test_a_client_is_due_until_the_interval_says_otherwise(open_page, empty_studio):
    desk, watch = open_page(empty_studio)
    watch.may_answer(422)
    desk.goto("/clients/new")
    add_client(desk, "Due Robin")
    add_work(desk, "left brow")
    add_session(desk, "2025-02-01", "powder brow", "Walnut ink", "hybrid")
    follow(desk, "Healed Colour Almanac")
    due = desk.get_by_role("region", name="Due")
    expect(due.get_by_role("link", name="Due Robin, left brow").first).to_be_visible()
    due.get_by_role("link", name="All that is due").click()
    heading(desk, "Due")
    follow(desk, "intervals")
    desk.get_by_label("Next photo, months after the last").fill("sixty")
    press(desk, "Save")
    expect(desk.get_by_text("Give a number from 1 to 60.")).to_be_visible()
    desk.get_by_label("Next photo, months after the last").fill("60")
    press(desk, "Save")
    photo = desk.get_by_role("region", name="A new photo")
    expect(photo.get_by_text("None.")).to_be_visible()


def test_a_whole_studio_is_taken_out_and_not_mixed_with_another(open_page, demo_studio, tmp_path):
    page, _ = open_page(demo_studio)
    page.goto("/take-out")
    with page.expect_download() as download:
        page.get_by_role("link", name="Whole studio with photos (ZIP)").click()
    download.value.save_as(tmp_path / "studio.zip")
    names = zipfile.ZipFile(tmp_path / "studio.zip").namelist()
    assert "studio.json" in names
    assert sum(name.startswith("photos/") for name in names) == 55
    page.get_by_label("with the photos").check()
    with page.expect_download() as download:
        page.get_by_role("button", name="Tables (ZIP)").click()
    download.value.save_as(tmp_path / "tables.zip")
    assert "measurement.csv" in zipfile.ZipFile(tmp_path / "tables.zip").namelist()
    expect(page.get_by_text("two studios are not mixed")).to_be_visible()
