import sqlite3
from datetime import date, timedelta
from typing import Any

import pytest
from sqlalchemy.exc import OperationalError

from tests.page_reading import Page, refused
from tests.studio import Studio
from tests.synthetic import draw_photo
from webapp.pages import import_photos
from webapp.records.tables import FollowUp, PhotoFile, PhotoImport, PhotoImportItem

CAMERA_DAY = "2025:04:02 10:00:00"


def begin(studio: Studio) -> int:
    return int(studio.browser.post("/imports").json()["id"])


def listed(studio: Studio, begun: int, path: str, content: bytes, size: int | None = None) -> int:
    answer = studio.browser.post(
        f"/imports/{begun}/list",
        data={"path": path, "size": str(len(content) if size is None else size)},
        files={"beginning": ("blob", content[: 256 * 1024])},
    )
    assert answer.status_code == 200, answer.text
    return int(answer.json()["id"])


def seen(studio: Studio, begun: int) -> Page:
    return Page(studio.browser.get(f"/imports/{begun}"))


def send_lines(studio: Studio, begun: int, **entries: str) -> Any:
    """Send the list's form as it stands, with these entries changed; "" for a tick takes it away."""
    fields = seen(studio, begun).fields | {k.replace("_", "-"): v for k, v in entries.items()}
    lines = [str(i.id) for i in studio.rows(PhotoImportItem) if i.import_id == begun and i.state == "open"]
    return studio.browser.post(f"/imports/{begun}", data=fields | {"line": lines})


def bring(studio: Studio, begun: int, line: int, content: bytes) -> Any:
    answer = studio.browser.post(f"/imports/{begun}/photos/{line}", files={"photo": ("a.jpg", content)})
    assert answer.status_code == 200, answer.text
    return answer.json()


def states(studio: Studio) -> list[str]:
    return [i.state for i in studio.rows(PhotoImportItem)]


@pytest.fixture
def photo() -> bytes:
    return draw_photo(taken=CAMERA_DAY)


def test_a_photo_is_matched_corrected_and_stored_as_a_draft(studio: Studio, work: int, photo: bytes) -> None:
    begun = begin(studio)
    line = listed(studio, begun, "Robin/2025-05-05 left brow.jpg", photo)
    assert studio.photo_files() == []
    fields = seen(studio, begun).fields
    told = [fields[f"{n}-{line}"] for n in ("client", "site", "on", "card", "take")]
    assert told == ["Robin", "left brow", "2025-04-02", "1", "yes"]
    assert send_lines(studio, begun).status_code == 303
    assert studio.browser.get(f"/imports/{begun}/waiting").json() == [
        {"id": line, "path": "Robin/2025-05-05 left brow.jpg", "size": len(photo)}
    ]
    assert "1 photo not stored yet" in Page(studio.browser.get("/")).words
    assert bring(studio, begun, line, photo) == {"state": "done", "sentence": ""}
    [follow_up] = studio.rows(FollowUp)
    assert (follow_up.work_id, follow_up.on_date, follow_up.outline) == (work, date(2025, 4, 2), [])
    start = Page(studio.browser.get("/")).words
    assert "the photo of 2 Apr 2025 is stored and not yet measured" in start
    assert "Go on with the import" not in start


def test_without_a_camera_day_the_name_gives_it_else_it_stays_empty(studio: Studio, work: int) -> None:
    begun = begin(studio)
    named = listed(studio, begun, "robin 2025-05-05.jpg", draw_photo())
    empty = listed(studio, begun, "robin.jpg", draw_photo())
    fields = seen(studio, begun).fields
    assert (fields[f"on-{named}"], fields[f"on-{empty}"]) == ("2025-05-05", "")
    refused(send_lines(studio, begun), f"on-{empty}")
    assert states(studio) == ["open", "open"]


def test_a_photo_sent_twice_is_stored_once(studio: Studio, work: int, photo: bytes) -> None:
    begun = begin(studio)
    line = listed(studio, begun, "robin.jpg", photo)
    assert listed(studio, begun, "robin.jpg", photo) == line
    send_lines(studio, begun)
    assert bring(studio, begun, line, photo)["state"] == "done"
    assert bring(studio, begun, line, photo)["state"] == "done"
    assert len(studio.rows(FollowUp)) == len(studio.photo_files()) == 1


def test_the_same_photo_under_two_names_is_refused_in_its_line_and_the_rest_goes_on(
    studio: Studio, work: int, photo: bytes
) -> None:
    begun = begin(studio)
    other = draw_photo(seed=2, taken=CAMERA_DAY)
    lines = [listed(studio, begun, f"robin {n}.jpg", c) for n, c in enumerate((photo, photo, other))]
    send_lines(studio, begun)
    told = [bring(studio, begun, line, c) for line, c in zip(lines, (photo, photo, other), strict=True)]
    assert [t["state"] for t in told] == ["done", "failed", "done"]
    assert "already stored for this work" in told[1]["sentence"]
    assert "already stored for this work" in seen(studio, begun).words
    assert len(studio.rows(FollowUp)) == 2


def test_a_folder_imported_anew_brings_nothing_twice(studio: Studio, work: int, photo: bytes) -> None:
    for outcome in ("done", "failed"):
        begun = begin(studio)
        line = listed(studio, begun, "robin.jpg", photo)
        send_lines(studio, begun)
        assert bring(studio, begun, line, photo)["state"] == outcome
    assert len(studio.rows(FollowUp)) == 1


def test_a_day_to_come_or_before_the_session_names_its_field_and_keeps_the_entries(studio: Studio, work: int) -> None:
    begun = begin(studio)
    tomorrow = date.today() + timedelta(days=1)
    line = listed(studio, begun, f"robin {tomorrow}.jpg", draw_photo())
    page = refused(send_lines(studio, begun), f"on-{line}")
    assert "future" in page.wrong[f"on-{line}"]
    assert page.fields[f"on-{line}"] == tomorrow.isoformat()
    page = refused(send_lines(studio, begun, **{f"on_{line}": "2024-12-31"}), f"on-{line}")
    assert "before the work's first session" in page.wrong[f"on-{line}"]


def test_without_consent_nothing_is_taken(studio: Studio, photo: bytes) -> None:
    work = studio.add_work(studio.add_client("Wren", consent=False))
    studio.add_session(work)
    begun = begin(studio)
    line = listed(studio, begun, "wren.jpg", photo)
    page = refused(send_lines(studio, begun), f"client-{line}")
    assert "no consent" in page.wrong[f"client-{line}"]
    assert studio.browser.get(f"/imports/{begun}/waiting").json() == []


def test_consent_withdrawn_meanwhile_is_heeded(studio: Studio, work: int, photo: bytes) -> None:
    begun = begin(studio)
    line = listed(studio, begun, "robin.jpg", photo)
    send_lines(studio, begun)
    with sqlite3.connect(studio.settings.database) as rows:
        rows.execute("UPDATE consent SET withdrawn_on = '2025-06-01'")
    told = bring(studio, begun, line, photo)
    assert told["state"] == "failed"
    assert "no consent" in told["sentence"]
    assert studio.photo_files() == studio.rows(PhotoFile) == []


def test_a_withdrawal_takes_the_names_of_listed_photos_along(studio: Studio, work: int, photo: bytes) -> None:
    begun = begin(studio)
    listed(studio, begun, "Robin/left brow.jpg", photo)
    listed(studio, begun, "Somebody else/left brow.jpg", photo)
    answer = studio.browser.post("/clients/1/withdraw", data={"scope": "photo storage"})
    assert answer.status_code == 200
    assert [i.path for i in studio.rows(PhotoImportItem)] == ["Somebody else/left brow.jpg"]


def test_client_work_and_card_that_are_missing_are_named_one_by_one(studio: Studio, work: int, photo: bytes) -> None:
    begun = begin(studio)
    line = listed(studio, begun, "holiday.jpg", photo)
    sent = {f"client_{line}": "Nobody", f"site_{line}": "left brow"}
    assert "No client is called so" in refused(send_lines(studio, begun, **sent), f"client-{line}").words
    sent[f"client_{line}"] = "robin"
    refused(send_lines(studio, begun, **sent | {f"card_{line}": "99"}), f"card-{line}")
    page = refused(send_lines(studio, begun, **sent | {f"site_{line}": "right brow"}), f"site-{line}")
    assert page.fields[f"site-{line}"] == "right brow"
    assert send_lines(studio, begun, **sent).status_code == 303


def test_a_work_without_a_session_is_told(studio: Studio, photo: bytes) -> None:
    studio.add_work(studio.add_client("Wren"))
    begun = begin(studio)
    line = listed(studio, begun, "wren.jpg", photo)
    assert "session first" in refused(send_lines(studio, begun), f"on-{line}").words


def test_what_is_left_out_is_not_brought_in_and_can_be_looked_at_again(studio: Studio, work: int, photo: bytes) -> None:
    begun = begin(studio)
    line = listed(studio, begun, "holiday.jpg", photo)
    assert send_lines(studio, begun, **{f"take_{line}": ""}).status_code == 303
    assert bring(studio, begun, line, photo)["state"] == "left out"
    assert studio.rows(FollowUp) == []
    studio.browser.post(f"/imports/{begun}/again")
    assert states(studio) == ["open"]


def test_what_is_no_photo_is_refused_with_a_sentence(studio: Studio, work: int) -> None:
    begun = begin(studio)
    line = listed(studio, begun, "robin 2025-05-05.jpg", b"no photo")
    send_lines(studio, begun)
    told = bring(studio, begun, line, b"no photo")
    assert told["state"] == "failed"
    assert "not a photo" in told["sentence"]


def test_a_changed_file_is_not_taken_for_the_one_that_was_looked_over(studio: Studio, work: int, photo: bytes) -> None:
    begun = begin(studio)
    line = listed(studio, begun, "robin.jpg", photo)
    send_lines(studio, begun)
    assert "has changed" in bring(studio, begun, line, draw_photo(seed=3) + b"x")["sentence"]
    assert studio.rows(FollowUp) == []


def test_a_huge_file_is_refused_before_it_is_sent(studio: Studio, work: int, photo: bytes) -> None:
    begun = begin(studio)
    listed(studio, begun, "robin.jpg", photo, size=80_000_001)
    assert states(studio) == ["failed"]
    assert "larger than 80 MB" in seen(studio, begun).words


@pytest.mark.parametrize(
    "path", ["a" * 3000 + ".jpg", "<b>robin</b>.jpg", "\u202egpj.nibor", "‮🌿/…/", "..\\..\\robin.jpg", "'; --"]
)
def test_odd_names_are_listed_as_they_are(studio: Studio, path: str, photo: bytes) -> None:
    begun = begin(studio)
    line = listed(studio, begun, path, photo)
    assert listed(studio, begun, path, photo) == line
    assert path[-100:] in seen(studio, begun).words
    assert "<b>robin" not in studio.browser.get(f"/imports/{begun}").text


def test_a_full_disk_stops_the_import_and_the_line_waits(
    studio: Studio, work: int, photo: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun = begin(studio)
    line = listed(studio, begun, "robin.jpg", photo)
    send_lines(studio, begun)

    def full(*_: Any, **__: Any) -> None:
        raise OperationalError("INSERT", {}, Exception("database or disk is full"))

    with monkeypatch.context() as patched:
        patched.setattr(import_photos, "add_follow_up", full)
        assert bring(studio, begun, line, photo)["state"] == "stop"
    assert states(studio) == ["ready"]
    assert bring(studio, begun, line, photo)["state"] == "done"


def test_more_lines_than_a_page_holds_come_page_by_page(studio: Studio, work: int) -> None:
    begun = begin(studio)
    for n in range(51):
        listed(studio, begun, f"robin {n:02} 2025-05-05.jpg", b"-")
    assert "The first 50 of 51" in seen(studio, begun).words
    page = seen(studio, begun)
    lines = [k.removeprefix("on-") for k in page.fields if k.startswith("on-")]
    answer = studio.browser.post(f"/imports/{begun}", data=page.fields | {"line": lines})
    assert answer.status_code == 303
    assert sorted(states(studio)) == ["open"] + ["ready"] * 50


def test_the_list_put_away_leaves_what_is_stored(studio: Studio, work: int, photo: bytes) -> None:
    begun = begin(studio)
    line = listed(studio, begun, "robin.jpg", photo)
    send_lines(studio, begun)
    bring(studio, begun, line, photo)
    assert studio.browser.post(f"/imports/{begun}/away").status_code == 303
    assert studio.rows(PhotoImport) == studio.rows(PhotoImportItem) == []
    assert len(studio.rows(FollowUp)) == 1


@pytest.mark.parametrize("path", ["/imports/7", "/imports/7/waiting", "/imports/99999999999999999999"])
def test_an_import_that_is_none_is_told(studio: Studio, path: str) -> None:
    assert studio.browser.get(path).status_code == 404


def test_a_line_of_another_import_is_not_found(studio: Studio, work: int, photo: bytes) -> None:
    line = listed(studio, begin(studio), "robin.jpg", photo)
    assert studio.browser.post(f"/imports/{begin(studio)}/photos/{line}").status_code == 404
