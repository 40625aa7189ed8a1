"""The cycles that the studio's statistics may use, each with what it is of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from sqlmodel import Session as DatabaseSession

from webapp.colorimetry.skin_tone import skin_tone_class, typology_angle
from webapp.drift.groups import CycleRates
from webapp.pages.judged_works import fresh_cycles
from webapp.records.judged_rows import CycleRow, in_statistics
from webapp.records.words import EARLIER_WORK, REMOVAL
from webapp.settings import Settings

SHORTEST_MONTHS = 2.0
"""A cycle observed for less shows the noise of its days, not a drift."""
NOT_COUNTED = (REMOVAL, EARLIER_WORK)
"""Cycles after these say nothing of the studio's own pigment and hand."""


@dataclass(frozen=True)
class StudioCycles:
    """The cycles to count, and how many clients with sound cycles were left out because they have not agreed."""

    cycles: tuple[CycleRates, ...]
    clients_not_agreed: int


def studio_cycles(rows: DatabaseSession, settings: Settings) -> StudioCycles:
    """Give the cycles of clients who agreed to the studio's statistics and have not withdrawn."""
    agreed = in_statistics(rows)
    sound = [
        row
        for row in fresh_cycles(rows, settings)
        if row.kind not in NOT_COUNTED and row.months >= SHORTEST_MONTHS and row.rates
    ]
    tones = _tones(sound)
    return StudioCycles(
        tuple(_cycle(row, tone) for row, tone in zip(sound, tones, strict=True) if row.client_id in agreed),
        len({row.client_id for row in sound} - agreed),
    )


def _tones(rows: Sequence[CycleRow]) -> list[str]:
    measured = [row.skin for row in rows if row.skin is not None]
    angles = iter(typology_angle(np.array(measured)).tolist() if measured else [])
    return ["not measured" if row.skin is None else skin_tone_class(next(angles)) for row in rows]


def _cycle(row: CycleRow, tone: str) -> CycleRates:
    traits = {
        "family": row.family,
        "pigment": row.pigments or "not entered",
        "technique": row.technique,
        "site": row.site.removeprefix("left ").removeprefix("right "),
        "artist": row.artist or "not entered",
        "skin": tone,
        "hand": row.hand or "not entered",
    }
    rates = {name: (12 * rate, 12 * se) for name, (rate, se) in row.rates.items()}
    return CycleRates(row.client_id, row.work_id, traits, rates, row.months)
