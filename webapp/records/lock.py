"""One running almanac a folder: two would take each other's half-stored photos for leftovers."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from webapp.records.database import StudioUnusable


@contextmanager
def only_one(folder: Path) -> Iterator[None]:
    """Hold a folder for this process, until the block ends or the process does.

    Raises StudioUnusable where another process holds it. The system lets go of the lock with the process, so
    none is left behind by a crash.
    """
    with (folder / "in-use.lock").open("a+b") as file:
        try:
            _lock(file.fileno())
        except OSError as error:
            raise StudioUnusable(
                f"The almanac is already running on the folder {folder}. Go to its page in the browser, or stop it "
                "first; a second one on the same folder could lose a photo that is just being sent."
            ) from error
        yield


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
