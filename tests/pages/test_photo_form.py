import errno
import hashlib
import io
import os
from datetime import date, timedelta

import pytest
from PIL import Image
from sqlalchemy.exc import OperationalError
from sqlmodel import Session as DatabaseSession
from sqlmodel import select
from starlette.datastructures import UploadFile

from tests.page_reading import Page, refused
from tests.studio import Studio, close_studio, open_studio
from tests.synthetic import draw_photo, png_claiming
from webapp.photo.whereabouts import without_whereabouts
from webapp.records.tables import FollowUp, PhotoFile, Session

ENTRIES = {"on": "2025-04-01", "card": "1", "note": "north window"}
TOMORROW = (date.today() + timedelta(days=1)).isoformat()


def send(studio: Studio, work: int, content: bytes | None, name: str = "brow.jpg", **entries: str):
    files = {"photo": (name, content)} if content is not None else {"photo": ("", b"")}
    return studio.browser.post(f"/works/{work}/follow-ups/new", data=ENTRIES | entries, files=files)


def nothing_is_stored(studio: Studio) -> bool:
    return studio.photo_files() == [] and studio.rows(PhotoFile) == studio.rows(FollowUp) == []


def saved(image: Image.Image, kind: str) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, kind)
    return buffer.getvalue()


def test_a_photo_is_stored_and_the_marks_come_next(studio: Studio, work: int) -> None:
    answer = send(studio, work, draw_photo())
    assert answer.headers["location"] == "/follow-ups/1/marks"
    assert [p.read_bytes() for p in studio.photo_files()] == [without_whereabouts(draw_photo())]
    stored = studio.rows(FollowUp)[0]
    assert (stored.on_date, stored.note) == (date(2025, 4, 1), "north window")


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP", "HEIF"])
def test_other_formats_are_taken_as_well(studio: Studio, work: int, kind: str) -> None:
    image = Image.open(io.BytesIO(draw_photo()))
    assert send(studio, work, saved(image, kind)).status_code == 303
    assert (studio.rows(PhotoFile)[0].width, studio.rows(PhotoFile)[0].height) == image.size


def test_the_day_is_taken_from_the_photo_where_none_is_given(studio: Studio, work: int) -> None:
    assert send(studio, work, draw_photo(taken="2025:05:06 10:00:00"), on="").status_code == 303
    assert studio.rows(FollowUp)[0].on_date == date(2025, 5, 6)


@pytest.mark.parametrize(
    ("taken", "sentence"),
    [
        ("", "does not say when it was taken"),
        ("2024:05:06 10:00:00", "before the work's first session"),
        ("2999:05:06 10:00:00", "in the future"),
        ("0000:00:00 00:00:00", "does not say when it was taken"),
    ],
)
def test_a_day_that_the_photo_cannot_give_is_asked_for(studio: Studio, work: int, taken: str, sentence: str) -> None:
    page = refused(send(studio, work, draw_photo(taken=taken), on=""), "on")
    assert sentence in page.wrong["on"]
    assert "Give the date" in page.wrong["on"]
    assert page.fields["note"] == "north window"
    assert nothing_is_stored(studio)


JPEG = draw_photo()
BAD_FILES = {
    "empty": (b"", "empty"),
    "letter": (b"Dear grandmother, " * 99, "not a photo that can be read"),
    "binary junk": (bytes(range(256)) * 50, "not a photo that can be read"),
    "web page": (b"<!doctype html><script>alert(1)</script>", "not a photo that can be read"),
    "drawing": (b'<svg xmlns="http://www.w3.org/2000/svg"/>', "not a photo that can be read"),
    "animation": (saved(Image.new("RGB", (50, 50)), "GIF"), "not a photo that can be read"),
    "header alone": (JPEG[:20], "not a photo that can be read"),
    "half of it": (JPEG[: len(JPEG) // 2], "breaks off"),
    "all but the end": (JPEG[:-3000], "breaks off"),
    "junk in a good header": (JPEG[:600] + bytes(range(256)) * 40, "breaks off"),
    "bomb": (png_claiming(60_000, 60_000), "million pixels"),
    "smaller bomb": (png_claiming(12_000, 11_000), "million pixels"),
    "broken off PNG": (png_claiming(600, 450), "breaks off"),
    "grey": (saved(Image.new("L", (600, 450), 99), "JPEG"), "black and white"),
}


@pytest.mark.parametrize("bad", BAD_FILES)
def test_a_file_that_is_no_sound_photo_is_refused_with_a_reason(studio: Studio, work: int, bad: str) -> None:
    content, sentence = BAD_FILES[bad]
    page = refused(send(studio, work, content), "photo")
    assert sentence in page.wrong["photo"]
    assert {k: page.fields[k] for k in ENTRIES} == ENTRIES
    assert nothing_is_stored(studio)


def test_no_file_chosen_is_said(studio: Studio, work: int) -> None:
    page = refused(send(studio, work, None), "photo")
    assert "Choose a photo" in page.wrong["photo"]
    assert {k: page.fields[k] for k in ENTRIES} == ENTRIES


@pytest.mark.parametrize(
    ("field", "entry", "sentence"),
    [
        ("on", TOMORROW, "in the future"),
        ("on", "2025-01-31", "before the work's first session"),
        ("on", "soon", "year-month-day"),
        ("card", "", "Choose one"),
        ("card", "99", "Choose one"),
        ("card", "9" * 40, "Choose one"),
        ("note", "n" * 2001, "at most 2000"),
    ],
)
def test_a_wrong_entry_is_named_and_the_rest_is_kept(
    studio: Studio, work: int, field: str, entry: str, sentence: str
) -> None:
    page = refused(send(studio, work, draw_photo(), **{field: entry}), field)
    assert sentence in page.wrong[field]
    kept = ENTRIES | {field: entry}
    if field == "card":
        del kept["card"]
    assert {k: page.fields[k] for k in kept} == kept
    assert nothing_is_stored(studio)


def test_without_consent_nothing_is_stored_and_the_page_says_where_to_record_it(studio: Studio) -> None:
    work = studio.add_work(studio.add_client(consent=False))
    studio.add_session(work)
    asked = Page(studio.browser.get(f"/works/{work}/follow-ups/new"))
    assert "No consent to keep photos is on file" in asked.words
    page = refused(send(studio, work, draw_photo()), "photo")
    assert "Record the consent" in page.wrong["photo"]
    assert page.fields["note"] == "north window"
    assert nothing_is_stored(studio)


def test_without_a_session_nothing_is_stored(studio: Studio) -> None:
    work = studio.add_work(studio.add_client())
    assert "No session is entered" in Page(studio.browser.get(f"/works/{work}/follow-ups/new")).words
    page = refused(send(studio, work, draw_photo()), "on")
    assert "Enter the session first" in page.wrong["on"]
    assert nothing_is_stored(studio)


class TestDuplicates:
    def test_a_photo_is_stored_once_for_a_work(self, studio: Studio, work: int, follow_up: int) -> None:
        page = refused(send(studio, work, draw_photo(), on="2025-05-01"), "photo")
        assert "already stored for this work, as the follow-up of 1 Apr 2025" in page.wrong["photo"]
        assert len(studio.photo_files()) == len(studio.rows(FollowUp)) == 1

    def test_two_works_of_one_client_may_share_it(self, studio: Studio, work: int, follow_up: int) -> None:
        other = studio.add_work(1, "right brow")
        studio.add_session(other)
        assert studio.add_photo(other) == 2
        assert len(studio.photo_files()) == len(studio.rows(PhotoFile)) == 1

    def test_another_client_cannot_have_it(self, studio: Studio, follow_up: int) -> None:
        other = studio.ready_work("Wren")
        page = refused(send(studio, other, draw_photo()), "photo")
        assert "already stored for another client" in page.wrong["photo"]
        assert len(studio.rows(FollowUp)) == 1


class TestFullDisk:
    @pytest.mark.parametrize("step", ["fsync", "replace"])
    def test_a_photo_that_finds_no_room_leaves_nothing(
        self, studio: Studio, work: int, monkeypatch: pytest.MonkeyPatch, step: str
    ) -> None:
        def full(*_: object) -> None:
            raise OSError(errno.ENOSPC, "No space left on device")

        monkeypatch.setattr(os, step, full)
        page = refused(send(studio, work, draw_photo()), "photo")
        monkeypatch.undo()
        assert "the disk is full" in page.wrong["photo"]
        assert {k: page.fields[k] for k in ENTRIES} == ENTRIES
        assert nothing_is_stored(studio)
        assert send(studio, work, draw_photo()).status_code == 303

    def test_records_that_find_no_room_take_the_photo_back(
        self, studio: Studio, work: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        fill_up(monkeypatch, PhotoFile)
        page = refused(send(studio, work, draw_photo()), "photo")
        monkeypatch.undo()
        assert "the disk is full" in page.wrong["photo"]
        assert page.fields["note"] == "north window"
        assert nothing_is_stored(studio)

    def test_a_form_that_finds_no_room_can_be_sent_again_as_it_was(
        self, studio: Studio, work: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        sent = {"kind": "touch-up", "on": "2025-03-01", "technique": "other", "pigments": "1", "note": "a <b>"}
        fill_up(monkeypatch, Session)
        answer = studio.browser.post(f"/works/{work}/sessions/new", data=sent)
        monkeypatch.undo()
        assert answer.status_code == 507
        page = Page(answer)
        assert "disk is full" in page.words
        assert "Send it again" in page.words
        assert page.fields == sent
        assert len(studio.rows(Session)) == 1
        assert studio.browser.post(f"/works/{work}/sessions/new", data=page.fields).status_code == 303

    def test_a_room_that_is_full_while_the_photo_comes_in_is_said(
        self, studio: Studio, work: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        async def full(*_: object) -> None:
            raise OSError(errno.ENOSPC, "No space left on device")

        monkeypatch.setattr(UploadFile, "write", full)
        answer = send(studio, work, draw_photo())
        assert answer.status_code == 507
        assert "disk is full" in Page(answer).words
        assert nothing_is_stored(studio)


def fill_up(monkeypatch: pytest.MonkeyPatch, table: type) -> None:
    """Let SQLite find the disk full when it writes rows of one table."""
    stop_at_row(monkeypatch, table, OperationalError("INSERT", {}, Exception("database or disk is full")))


def stop_at_row(monkeypatch: pytest.MonkeyPatch, table: type, error: BaseException) -> None:
    """Let writing a row of one table end in an error."""
    real = DatabaseSession.flush

    def flush(self: DatabaseSession, *arguments: object) -> None:
        if any(isinstance(row, table) for row in [*self.new, *self.dirty]):
            raise error
        real(self, *arguments)

    monkeypatch.setattr(DatabaseSession, "flush", flush)


class TestCrash:
    def test_a_crash_between_file_and_row_leaves_no_face_behind(
        self, studio: Studio, work: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        class PowerCut(BaseException):
            pass

        stop_at_row(monkeypatch, PhotoFile, PowerCut())
        with pytest.raises(PowerCut):
            send(studio, work, draw_photo())
        monkeypatch.undo()
        assert len(studio.photo_files()) > 0
        close_studio(studio)
        again = open_studio(studio.settings.folder)
        assert nothing_is_stored(again)
        assert send(again, work, draw_photo()).status_code == 303
        close_studio(again)

    def test_a_restart_keeps_what_was_stored(self, studio: Studio, measured: int) -> None:
        close_studio(studio)
        again = open_studio(studio.settings.folder)
        assert len(again.photo_files()) == 1
        assert again.browser.get("/follow-ups/1").status_code == 200
        assert again.browser.get("/follow-ups/1/balanced.jpg").status_code == 200
        close_studio(again)


def test_a_photo_that_lies_as_the_first_version_stored_it_leaves_no_second_file(studio: Studio, work: int) -> None:
    """Then photos were kept with the camera's notes in them; sent again for another work, it is the same photo."""
    sent = draw_photo(taken="2025:04:01 10:00:00")
    send(studio, work, sent)
    (cleaned,) = studio.photo_files()
    as_sent = hashlib.sha256(sent).hexdigest()
    old = studio.settings.photos / as_sent[:2] / as_sent
    old.parent.mkdir(exist_ok=True)
    cleaned.unlink()
    old.write_bytes(sent)
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        rows.exec(select(PhotoFile)).one().sha256 = as_sent
        rows.commit()
    other = studio.add_work(1, "right brow")
    studio.add_session(other, new_pigment="Chestnut")
    assert send(studio, other, sent).status_code == 303
    assert studio.photo_files() == [old]
    assert {f.photo_id for f in studio.rows(FollowUp)} == {1}
