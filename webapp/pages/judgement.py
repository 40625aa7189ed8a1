"""Rows in, verdict out: the cycles, series, trend, flag and direction of a work."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import accumulate

import numpy as np

from webapp.colorimetry.measured import MeasuredColour
from webapp.correction.direction import Direction, direct
from webapp.drift.assessment import Assessment, assess
from webapp.drift.change import Comparison, compare
from webapp.drift.cycles import Cycle, find_cycles
from webapp.drift.flags import Flag
from webapp.drift.prior import PRACTICE_ALONE, Priors
from webapp.drift.reading import Reading, SessionFacts
from webapp.drift.series import Point
from webapp.drift.trend import Trend
from webapp.records.queries import FollowUpRecord, WorkRecord
from webapp.records.tables import MeasurementRow
from webapp.settings import Settings


@dataclass(frozen=True)
class CycleVerdict:
    """One cycle and what is to be said of it; the series is empty where there is no baseline."""

    cycle: Cycle
    assessment: Assessment
    direction: Direction | None
    before: Point | None = None
    """The last healed point of the cycle before, where there is one."""

    @property
    def joined(self) -> Comparison | None:
        """How this cycle joins the one before: its baseline compared with the last photo before the session."""
        if self.before is None or self.baseline is None:
            return None
        before, after = self.before.reading, self.baseline
        return compare(before.pigment, before.skin, after.pigment, after.skin)

    @property
    def series(self) -> tuple[Point, ...]:
        """Every reading against the baseline."""
        return self.assessment.series

    @property
    def trend(self) -> Trend | None:
        """The rates by the cycle's own photos."""
        return self.assessment.trend

    @property
    def flag(self) -> Flag:
        """The verdict."""
        return self.assessment.flag

    @property
    def baseline(self) -> Reading | None:
        """The reading that all are told from: the cycle's own unless that does not fit the others."""
        return self.series[0].baseline if self.series else None

    @property
    def latest(self) -> Point | None:
        """The latest healed point."""
        healed = [p for p in self.series if p.state == "healed"]
        return healed[-1] if healed else None


@dataclass(frozen=True)
class WorkVerdict:
    """A work and the verdicts on its cycles, in order of time."""

    record: WorkRecord
    cycles: tuple[CycleVerdict, ...]

    @property
    def flag(self) -> Flag:
        """The flag of the work: that of its present cycle."""
        if self.cycles:
            return self.cycles[-1].flag
        return Flag("too few photos", 0.0, "No session is entered yet; drift is judged from a session on.")


def measured_skin(row: MeasurementRow) -> MeasuredColour | None:
    """Give the stored colour of the bare skin."""
    if row.skin_lab is None or row.skin_spread is None or row.skin_shared is None:
        return None
    return MeasuredColour(np.array(row.skin_lab), np.array(row.skin_spread), np.array(row.skin_shared), row.skin_pixels)


def measured_pigment(row: MeasurementRow) -> MeasuredColour:
    """Give the stored colour of the pigmented skin."""
    return MeasuredColour(
        np.array(row.pigment_lab), np.array(row.pigment_spread), np.array(row.pigment_shared), row.pigment_pixels
    )


def measured_outline(row: MeasurementRow) -> MeasuredColour | None:
    """Give the stored mean over the outline, whose count of pixels is not kept; None of an older measurement."""
    if row.outline_lab is None or row.outline_spread is None or row.outline_shared is None:
        return None
    return MeasuredColour(np.array(row.outline_lab), np.array(row.outline_spread), np.array(row.outline_shared), 0)


def _reading(record: FollowUpRecord, row: MeasurementRow) -> Reading:
    return Reading(
        key=record.follow_up.id or 0,
        on=record.follow_up.on_date,
        pigment=measured_pigment(row),
        skin=measured_skin(row),
        sound=row.grade != "retake" or bool(record.follow_up.taken_in_because),
        kept=bool(record.follow_up.taken_in_because),
    )


def judge_work(record: WorkRecord, settings: Settings, priors: Priors = PRACTICE_ALONE) -> WorkVerdict:
    """Judge a work, cycle by cycle; `priors` is what the studio's other works let one expect, and changes no flag."""
    judged: list[CycleVerdict] = []
    for cycle in cycles_of(record, settings):
        verdict = _judge_cycle(cycle, record, settings, priors)
        judged.append(replace(verdict, before=judged[-1].latest) if judged else verdict)
    return WorkVerdict(record, tuple(judged))


def cycles_of(record: WorkRecord, settings: Settings) -> tuple[Cycle, ...]:
    """Give a work's cycles."""
    # What an earlier session put in is still there, so a cycle's families are those of all pigment so far.
    so_far = [p.family for s in record.sessions for p in s.pigments]
    counts = accumulate(len(s.pigments) for s in record.sessions)
    sessions = [
        SessionFacts(
            key=s.session.id or 0,
            on=s.session.on_date,
            kind=s.session.kind,
            technique=s.session.technique,
            artist=s.session.artist,
            families=tuple(so_far[:count]),
            baseline=s.session.baseline_follow_up_id,
        )
        for s, count in zip(record.sessions, counts, strict=True)
    ]
    readings = [_reading(f, f.measurement) for f in record.follow_ups if f.measurement is not None]
    return find_cycles(sessions, readings, settings.healing_days)


def _judge_cycle(cycle: Cycle, record: WorkRecord, settings: Settings, priors: Priors) -> CycleVerdict:
    assessed = assess(cycle, settings.thresholds, priors, record.work.site, record.client.id or 0)
    healed = [p for p in assessed.series if p.state == "healed"]
    direction = None
    if len(healed) > 1:
        change = healed[-1].comparison.best
        direction = direct(change.after, change.before, change.covariance)
    return CycleVerdict(cycle, assessed, direction)
