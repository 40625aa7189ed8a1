"""The flag of a work: what is to be said of its cycle by its own photos."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

FlagKind = Literal["ashy", "warm", "fading", "patchy", "skin or light changed", "too few photos", "steady"]
NEEDS_A_LOOK: tuple[FlagKind, ...] = (
    "ashy",
    "warm",
    "fading",
    "patchy",
    "skin or light changed",
    "too few photos",
    "steady",
)
"""The flags in the order in which they want the artist's eye."""
DRIFTS: tuple[FlagKind, ...] = ("ashy", "warm", "fading", "patchy")
"""Those that say that the work itself changes."""


@dataclass(frozen=True)
class Flag:
    """A verdict on a cycle, by its own photos: what like works do never changes it (see `outlook` for that).

    `severity` is the drift as a multiple of its threshold, for sorting; `sentence` says why, `caution` what
    speaks against trusting it; `which` the direction in a word, where it is clear; `passed` the thresholds passed, each
    with its source; `changes` what would change the verdict.
    """

    kind: FlagKind
    severity: float
    sentence: str
    caution: str = ""
    which: str = ""
    passed: tuple[str, ...] = ()
    changes: str = ""

    @property
    def order(self) -> tuple[int, float]:
        """Sorts what needs a look first to the front."""
        return NEEDS_A_LOOK.index(self.kind), -self.severity
