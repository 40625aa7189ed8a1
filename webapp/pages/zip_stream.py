"""A ZIP file that is sent while it is made, so that a studio of any size needs neither memory nor room for it."""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class Member:
    """One file of the ZIP; its content is asked for when its turn comes. `packed` already: a photo."""

    name: str
    content: Callable[[], bytes]
    packed: bool = False


class _Outflow:
    """Takes what is written and hands it on; it cannot go back, and says so by having no seek."""

    def __init__(self) -> None:
        self.waiting: list[bytes] = []

    def write(self, content: bytes) -> int:
        self.waiting.append(bytes(content))
        return len(content)

    def flush(self) -> None:
        """Nothing is held back."""

    def taken(self) -> bytes:
        content, self.waiting = b"".join(self.waiting), []
        return content


def zip_stream(members: Iterable[Member]) -> Iterator[bytes]:
    """Give the ZIP of the members piece by piece, a file at a time. A member whose file is gone is left out."""
    outflow = _Outflow()
    with zipfile.ZipFile(outflow, "w", zipfile.ZIP_DEFLATED) as archive:  # type: ignore[call-overload] # only written to
        for member in members:
            try:
                content = member.content()
            except FileNotFoundError:
                continue
            how = zipfile.ZIP_STORED if member.packed else zipfile.ZIP_DEFLATED
            archive.writestr(zipfile.ZipInfo(member.name, (1980, 1, 1, 0, 0, 0)), content, how)
            yield outflow.taken()
    yield outflow.taken()
