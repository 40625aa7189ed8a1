"""Photo files on disk, named by their SHA-256, whole or not there at all."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from collections.abc import Collection
from pathlib import Path

_UNSETTLED = ".unsettled-"


class DiskFull(OSError):
    """There is no room for the file; nothing of it was kept."""


class PhotoFiles:
    """The folder of photo files, and beside it the folder of pictures derived from them."""

    def __init__(self, folder: Path, derived: Path) -> None:
        """Take the two folders, and make them where they are missing."""
        self.folder, self.derived = folder, derived
        for each in (folder, derived):
            each.mkdir(parents=True, exist_ok=True)

    def path(self, sha256: str) -> Path:
        """Where the photo with this digest lies, or would lie."""
        return self.folder / sha256[:2] / sha256

    def keep(self, content: bytes) -> str:
        """Store a photo and give its digest. Raises DiskFull, leaving nothing, where there is no room.

        A mark beside a new photo says that no row names it yet; `settle` takes the mark away.
        """
        sha256 = hashlib.sha256(content).hexdigest()
        if not self.path(sha256).exists():
            try:
                _write_whole(self._unsettled(sha256), b"")
                _write_whole(self.path(sha256), content)
            except DiskFull:
                self.settle(sha256)
                raise
        return sha256

    def settle(self, sha256: str) -> None:
        """Note that the row which names a photo is committed."""
        with contextlib.suppress(OSError):
            self._unsettled(sha256).unlink(missing_ok=True)

    def _unsettled(self, sha256: str) -> Path:
        return self.folder / sha256[:2] / f"{_UNSETTLED}{sha256}"

    def content(self, sha256: str) -> bytes:
        """The bytes of a stored photo. Raises FileNotFoundError where it is gone."""
        return self.path(sha256).read_bytes()

    def discard(self, sha256: str) -> None:
        """Delete a photo and every picture derived from it."""
        self.path(sha256).unlink(missing_ok=True)
        for picture in self.derived.glob(f"{sha256}-*"):
            picture.unlink(missing_ok=True)
        self.settle(sha256)

    def drop_derived(self, sha256: str, start: str, keep: str = "-") -> None:
        """Delete the derived pictures of a photo whose names begin so, but for those that begin with `keep`."""
        for picture in self.derived.glob(f"{sha256}-{start}*"):
            if not picture.name.startswith(f"{sha256}-{keep}"):
                picture.unlink(missing_ok=True)

    def sweep(self, known: Collection[str]) -> None:
        """Delete what an interrupted store left behind, and derived pictures of photos that no row names.

        No other whole photo is deleted here: the folder may be a copy whose database is older or newer.
        """
        for path in self.folder.glob("??/.part-*"):
            path.unlink(missing_ok=True)
        for path in self.folder.glob(f"??/{_UNSETTLED}*"):
            sha256 = path.name.removeprefix(_UNSETTLED)
            if sha256 in known:
                self.settle(sha256)
            else:
                self.discard(sha256)
        for path in self.derived.iterdir():
            if path.name.partition("-")[0] not in known and path.is_file():
                path.unlink(missing_ok=True)

    def derived_path(self, sha256: str, name: str) -> Path:
        """Where a picture derived from a photo lies, or would lie."""
        return self.derived / f"{sha256}-{name}"

    def keep_derived(self, sha256: str, name: str, content: bytes) -> None:
        """Store a derived picture; a full disk is no matter, since it can be made again.

        A photo may be deleted while its picture is made: the photo goes first and then its pictures, so a picture
        that comes too late sees here that the photo is gone, and goes too.
        """
        with contextlib.suppress(OSError):
            _write_whole(self.derived_path(sha256, name), content)
            if not self.path(sha256).exists():
                self.derived_path(sha256, name).unlink(missing_ok=True)


def _write_whole(target: Path, content: bytes) -> None:
    """Write to a temporary name, flush to the disk, then rename: a file is there whole or not at all."""
    temporary = ""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=".part-")
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(temporary, target)
        if os.name == "posix":
            _flush_folder(target.parent)
    except OSError as error:
        for path in (temporary, str(target)):
            with contextlib.suppress(OSError):
                os.unlink(path)
        raise DiskFull(error.errno, "The photo could not be written to the disk", str(target)) from error


def _flush_folder(folder: Path) -> None:
    """Flush a folder, so that a file's new name in it outlives a power cut."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
