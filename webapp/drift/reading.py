"""What drift is judged from: one follow-up's colours, and the session before it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from webapp.colorimetry.measured import MeasuredColour

DAYS_A_MONTH = 365.25 / 12


@dataclass(frozen=True, eq=False)
class Reading:
    """One measured follow-up.

    `sound`: good enough to be judged by, or taken in by the artist, which `kept` says: then no test leaves it out.
    """

    key: int
    on: date
    pigment: MeasuredColour
    skin: MeasuredColour | None
    sound: bool = True
    kept: bool = False


@dataclass(frozen=True)
class SessionFacts:
    """What drift needs to know of a session; `families` are those of all pigment in the skin from then on."""

    key: int
    on: date
    kind: str
    technique: str = ""
    artist: str = ""
    families: tuple[str, ...] = ()
    baseline: int | None = None
    """The key of the reading that the artist has set as this cycle's baseline; None for the first sound one."""

    @property
    def family(self) -> str:
        """The family of what is in the skin: several families make a hybrid."""
        known = sorted(set(self.families) - {"unknown"})
        if not known:
            return "unknown"
        return known[0] if len(known) == 1 else "hybrid"


def months_between(start: date, end: date) -> float:
    """Give the time from one day to another in months of 30.44 days."""
    return (end - start).days / DAYS_A_MONTH
