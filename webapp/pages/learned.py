"""What the studio's own works teach about its pigments: layers, depths and courses, of clients who agreed to it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, select

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear
from webapp.correction.layers import absorbance, depth
from webapp.correction.learned_layers import Bottle, HealedBaseline, Layer, learn_layers
from webapp.correction.typical import Course
from webapp.pages.judged_works import fresh_cycles
from webapp.records import judged_rows
from webapp.records.tables import (
    FollowUp,
    MeasurementRow,
    Pigment,
    Session,
    SessionPigment,
    Swatch,
    Work,
)
from webapp.records.words import EARLIER_WORK, REMOVAL
from webapp.settings import Settings

_PAPER = np.full(3, 0.85)
"""Linear light of the white paper that a swatch lies on. Our own assumption: its own colour is not measured."""


@dataclass(frozen=True)
class Learned:
    """All that is known of the shelf: its bottles, the healed baselines, and the courses of cycles."""

    shelf: tuple[Bottle, ...]
    baselines: tuple[HealedBaseline, ...]
    courses: tuple[Course, ...]

    @property
    def layers(self) -> tuple[Layer, ...]:
        """The layer of each pigment and of each mix that was used."""
        return learn_layers(self.shelf, self.baselines)


@dataclass(frozen=True)
class _Seen:
    """A sound healed reading of a work: its follow-up, its day and the (3,) absorbance of its pigment."""

    key: int
    on: date
    taken: Floats


@dataclass(frozen=True)
class _Brought:
    """What a session brought, (3,); `alone`: no other pigment was there before it."""

    session: Session
    taken: Floats
    alone: bool


def learn(rows: DatabaseSession, settings: Settings) -> Learned:
    """Gather what clients who agreed to the studio's statistics teach; the shelf itself needs no leave."""
    clients = judged_rows.in_statistics(rows)
    sessions = _sessions(rows, clients)
    seen = _readings(rows, clients)
    pigments = {p.id or 0: p for p in rows.exec(select(Pigment).order_by(col(Pigment.name)))}
    used: defaultdict[int, set[int]] = defaultdict(set)
    for session_id, pigment_id in rows.exec(select(SessionPigment.session_id, SessionPigment.pigment_id)):
        used[session_id].add(pigment_id)

    rates = {c.session_id: c.rates for c in fresh_cycles(rows, settings)}
    baselines: list[HealedBaseline] = []
    courses: list[Course] = []
    for work, own in sessions:
        for brought in _brought(own, seen.get(work.id or 0, []), used, settings.healing_days):
            session = brought.session
            keys = frozenset(used[session.id or 0])
            family = _family({pigments[key].family for key in keys})
            baselines.append(HealedBaseline(work.client_id, work.id or 0, keys, family, brought.taken))
            if not brought.alone:  # what fades then is not this session's pigment alone
                continue
            rate = rates.get(session.id or 0, {})
            courses.append(
                Course(
                    client=work.client_id,
                    pigment=next(iter(keys)) if len(keys) == 1 else None,
                    family=family,
                    technique=session.technique,
                    place=place_of(work.site),
                    hand=session.hand,
                    depth=float(depth(brought.taken)) if session is own[0] else None,
                    fading=_yearly(rate.get("fading")),
                    turn=_yearly(rate.get("own_warmth")),
                )
            )
    swatches = _swatches(rows)
    shelf = tuple(Bottle(key, p.name, p.family, swatches.get(key)) for key, p in pigments.items())
    return Learned(shelf, tuple(baselines), tuple(courses))


def place_of(site: str) -> str:
    """Give what counts for pigment of a site: brow or eyeliner."""
    return "eyeliner" if "eyeliner" in site else "brow"


def _sessions(rows: DatabaseSession, clients: set[int]) -> list[tuple[Work, list[Session]]]:
    found: dict[int, tuple[Work, list[Session]]] = {}
    wanted = select(Session, Work).join(Work).where(col(Work.client_id).in_(clients))
    for session, work in rows.exec(wanted.order_by(col(Session.on_date), col(Session.id))):
        found.setdefault(session.work_id, (work, []))[1].append(session)
    return list(found.values())


def _readings(rows: DatabaseSession, clients: set[int]) -> dict[int, list[_Seen]]:
    """Give every sound reading with bare skin, by work, in order of time."""
    wanted = (
        select(FollowUp.work_id, FollowUp.id, FollowUp.on_date, MeasurementRow.pigment_lab, MeasurementRow.skin_lab)  # type: ignore[call-overload] # typed for four columns
        .join(MeasurementRow)
        .join(Work, col(Work.id) == FollowUp.work_id)
        .where(
            col(Work.client_id).in_(clients),
            (MeasurementRow.grade != "retake") | (FollowUp.taken_in_because != ""),
            col(MeasurementRow.skin_lab).is_not(None),
        )
        .order_by(col(FollowUp.on_date), col(FollowUp.id))
    )
    found = rows.exec(wanted).all()
    if not found:
        return {}
    taken = absorbance(np.array([f[3] for f in found]), np.array([f[4] for f in found]))
    readings: dict[int, list[_Seen]] = {}
    for (work, key, on, _, _), absorbed in zip(found, taken, strict=True):
        readings.setdefault(work, []).append(_Seen(key, on, absorbed))
    return readings


def _brought(
    sessions: Sequence[Session], seen: Sequence[_Seen], used: dict[int, set[int]], healing_days: int
) -> Iterator[_Brought]:
    """Give what each session brought: the absorbance at its healed baseline, less what was there before it.

    Where all sessions so far used the same one pigment, what is seen is that pigment's, and nothing is taken off.
    After others a session counts from the last healed reading before it, or not at all where there is none.
    """
    before: _Seen | None = None
    so_far: set[int] = set()
    known = True  # nothing is in the skin but what is entered
    for i, session in enumerate(sessions):
        ends = sessions[i + 1].on_date if i + 1 < len(sessions) else date.max
        healed = [s for s in seen if session.on_date + timedelta(days=healing_days) <= s.on < ends]
        own = used.get(session.id or 0, set())
        baseline = next((s for s in healed if s.key == session.baseline_follow_up_id), healed[0] if healed else None)
        adds = session.kind not in (REMOVAL, EARLIER_WORK)
        if baseline is not None and own and adds:
            if known and (not so_far or (so_far == own and len(own) == 1)):
                yield _Brought(session, baseline.taken, alone=True)
            elif before is not None:
                yield _Brought(session, baseline.taken - before.taken, alone=False)
        before = healed[-1] if healed else None
        so_far |= own
        known = known and bool(own) and adds


def _family(families: set[str]) -> str:
    known = families - {"unknown"}
    if not known or "unknown" in families:
        return "unknown"
    return next(iter(known)) if len(known) == 1 else "hybrid"


def _swatches(rows: DatabaseSession) -> dict[int, Floats]:
    """Give the absorbance of each pigment's latest sound swatch against white paper."""
    found: dict[int, Floats] = {}
    for swatch in rows.exec(select(Swatch).order_by(col(Swatch.on_date), col(Swatch.id))):
        if swatch.lab is not None and swatch.grade != "retake":
            light = np.maximum(lab_to_linear(np.array(swatch.lab)), 1e-3)
            found[swatch.pigment_id] = np.maximum(-np.log(light / _PAPER), 0)
    return found


def _yearly(rate: tuple[float, float] | None) -> tuple[float, float] | None:
    return None if rate is None else (12 * rate[0], 12 * rate[1])
