import errno
import hashlib
import os
from pathlib import Path

import pytest

from webapp.records.photo_files import DiskFull, PhotoFiles

CONTENT = b"a photo" * 1000
DIGEST = hashlib.sha256(CONTENT).hexdigest()


@pytest.fixture
def files(tmp_path: Path) -> PhotoFiles:
    return PhotoFiles(tmp_path / "photos", tmp_path / "derived")


def everything(files: PhotoFiles) -> list[str]:
    return sorted(p.name for folder in (files.folder, files.derived) for p in folder.rglob("*") if p.is_file())


def full(*_: object, **__: object) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def test_a_photo_is_named_by_its_digest_and_comes_back_whole(files: PhotoFiles) -> None:
    assert files.keep(CONTENT) == DIGEST
    assert files.path(DIGEST).name == DIGEST
    assert files.content(DIGEST) == CONTENT


def test_a_settled_photo_is_the_only_file(files: PhotoFiles) -> None:
    files.settle(files.keep(CONTENT))
    assert everything(files) == [DIGEST]


def test_a_photo_kept_twice_is_one_file(files: PhotoFiles) -> None:
    files.keep(CONTENT)
    files.settle(DIGEST)
    files.keep(CONTENT)
    assert everything(files) == [DIGEST]


@pytest.mark.parametrize("step", ["fsync", "replace", "open"])
def test_without_room_nothing_is_left_behind(files: PhotoFiles, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    monkeypatch.setattr(os, step, full)
    with pytest.raises(DiskFull):
        files.keep(CONTENT)
    monkeypatch.undo()
    assert everything(files) == []
    files.keep(CONTENT)
    assert files.content(DIGEST) == CONTENT


@pytest.mark.parametrize("at", range(1, 5))
def test_whichever_flush_finds_the_disk_full_nothing_is_left_behind(
    files: PhotoFiles, monkeypatch: pytest.MonkeyPatch, at: int
) -> None:
    calls = []
    real = os.fsync

    def fills_up(handle: int) -> None:
        calls.append(handle)
        if len(calls) == at:
            full()
        real(handle)

    monkeypatch.setattr(os, "fsync", fills_up)
    if os.name != "posix" and at > 2:
        pytest.skip("folders are flushed on POSIX alone")
    with pytest.raises(DiskFull):
        files.keep(CONTENT)
    assert everything(files) == []


def test_a_folder_that_cannot_be_made_counts_as_no_room(files: PhotoFiles) -> None:
    (files.folder / DIGEST[:2]).write_text("a file where the folder should be")
    with pytest.raises(DiskFull):
        files.keep(CONTENT)


def test_a_derived_picture_that_finds_no_room_is_no_matter(files: PhotoFiles, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "fsync", full)
    files.keep_derived(DIGEST, "whole.jpg", b"picture")
    assert everything(files) == []


def test_discarding_takes_the_photo_and_every_picture_of_it_and_no_other(files: PhotoFiles) -> None:
    files.settle(files.keep(CONTENT))
    other = files.keep(b"another")
    files.settle(other)
    for digest in (DIGEST, other):
        files.keep_derived(digest, "whole.jpg", b"picture")
        files.keep_derived(digest, "1-abc-balanced.jpg", b"picture")
    files.discard(DIGEST)
    assert everything(files) == sorted([other, f"{other}-whole.jpg", f"{other}-1-abc-balanced.jpg"])


def test_discarding_twice_is_no_error(files: PhotoFiles) -> None:
    files.keep(CONTENT)
    files.discard(DIGEST)
    files.discard(DIGEST)
    assert everything(files) == []


def test_a_picture_that_comes_after_its_photo_was_discarded_is_not_kept(files: PhotoFiles) -> None:
    files.keep(CONTENT)
    files.discard(DIGEST)
    files.keep_derived(DIGEST, "whole.jpg", b"made while the photo was being deleted")
    assert everything(files) == []


def test_only_the_pictures_of_one_follow_up_are_dropped(files: PhotoFiles) -> None:
    files.settle(files.keep(CONTENT))
    for name in ("1-old-a.jpg", "1-new-a.jpg", "12-old-a.jpg", "whole.jpg"):
        files.keep_derived(DIGEST, name, b"picture")
    files.drop_derived(DIGEST, "1-", keep="1-new")
    left = (f"{DIGEST}-{name}" for name in ("1-new-a.jpg", "12-old-a.jpg", "whole.jpg"))
    assert everything(files) == sorted([DIGEST, *left])


def test_a_start_clears_away_what_a_crash_left_half_written(files: PhotoFiles) -> None:
    files.settle(files.keep(CONTENT))
    (files.path(DIGEST).parent / ".part-abc").write_bytes(b"half")
    (files.derived / ".part-xyz").write_bytes(b"half")
    files.derived_path("0" * 64, "whole.jpg").write_bytes(b"of a photo that is gone")
    files.keep_derived(DIGEST, "whole.jpg", b"picture")
    files.sweep({DIGEST})
    assert everything(files) == sorted([DIGEST, f"{DIGEST}-whole.jpg"])


def test_a_photo_whose_row_never_came_about_goes_at_the_next_start(files: PhotoFiles) -> None:
    files.keep(CONTENT)
    files.sweep(set())
    assert everything(files) == []


def test_a_photo_whose_row_came_about_just_before_a_crash_stays(files: PhotoFiles) -> None:
    files.keep(CONTENT)
    files.sweep({DIGEST})
    assert everything(files) == [DIGEST]


def test_a_settled_photo_without_a_row_stays_since_the_records_may_be_an_older_copy(files: PhotoFiles) -> None:
    files.settle(files.keep(CONTENT))
    files.sweep(set())
    assert everything(files) == [DIGEST]


def test_a_foreign_folder_among_the_pictures_stops_no_start(files: PhotoFiles) -> None:
    (files.derived / "holiday").mkdir()
    files.sweep(set())
