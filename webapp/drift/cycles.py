"""Cycles: the time from one session to the next, with its readings and its baseline."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from webapp.drift.reading import Reading, SessionFacts

HEALING_DAYS = 28
"""Until then a photo shows healing, not healed colour. Common practice, no source: four to six weeks."""


@dataclass(frozen=True)
class Cycle:
    """One session and what was read until the next: still healing, healed and sound, or set aside."""

    session: SessionFacts
    healing: tuple[Reading, ...]
    healed: tuple[Reading, ...]
    set_aside: tuple[Reading, ...]

    @property
    def chosen(self) -> Reading | None:
        """The sound healed reading that the artist has set as baseline; None where she has not, or it is gone."""
        return next((r for r in self.healed if r.key == self.session.baseline), None)

    @property
    def baseline(self) -> Reading | None:
        """The reading that the artist has set as baseline, else the first sound healed one."""
        return self.chosen or (self.healed[0] if self.healed else None)

    @property
    def readings(self) -> tuple[Reading, ...]:
        """All readings in order of time."""
        return tuple(sorted(self.healing + self.healed + self.set_aside, key=lambda r: (r.on, r.key)))


def find_cycles(
    sessions: Sequence[SessionFacts], readings: Sequence[Reading], healing_days: int = HEALING_DAYS
) -> tuple[Cycle, ...]:
    """Divide a work's readings among its sessions, in order of time.

    A reading belongs to the last session before or on its day; one from before every session to none, and is
    left out.
    """
    ordered = sorted(sessions, key=lambda s: (s.on, s.key))
    cycles = []
    for i, session in enumerate(ordered):
        ends = ordered[i + 1].on if i + 1 < len(ordered) else None
        own = sorted(
            (r for r in readings if session.on <= r.on and (ends is None or r.on < ends)),
            key=lambda r: (r.on, r.key),
        )
        healed_from = session.on + timedelta(days=healing_days)
        cycles.append(
            Cycle(
                session,
                healing=tuple(r for r in own if r.on < healed_from),
                healed=tuple(r for r in own if r.on >= healed_from and r.sound),
                set_aside=tuple(r for r in own if r.on >= healed_from and not r.sound),
            )
        )
    return tuple(cycles)
