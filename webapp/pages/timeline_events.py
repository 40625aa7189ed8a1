"""Everything that happened to a client, as events in one order of time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from webapp.colorimetry.skin_reading import read_skin
from webapp.pages.contraindications import QUESTIONS, needs_care
from webapp.pages.judgement import WorkVerdict, measured_skin
from webapp.pages.mix_words import mix_words
from webapp.pages.render import number
from webapp.records.history import Ingredient
from webapp.records.queries import FollowUpRecord
from webapp.records.tables import Consent, Questioning, Session, Work

KINDS = ("session", "follow-up", "flag", "aim", "questions", "consent")
"""Also the order within one day."""


@dataclass(frozen=True)
class Event:
    """One thing that happened: when, of which kind, in words, and where it is shown; work_id None for the client's."""

    on: date
    kind: str
    title: str
    lines: tuple[str, ...] = ()
    link: str = ""
    work_id: int | None = None
    site: str = ""
    about: bool = False
    lab: tuple[float, ...] = ()
    follow_up_id: int | None = None


def events(
    verdicts: Sequence[WorkVerdict],
    mixes: Mapping[int, Sequence[Ingredient]],
    askings: Sequence[Questioning],
    consents: Sequence[Consent],
) -> list[Event]:
    """Give all events, the latest first; within a day in the order of KINDS."""
    every = [e for v in verdicts for e in _of_work(v, mixes)]
    every += [_asked(a) for a in askings]
    every += [e for c in consents for e in _of_consent(c)]
    return sorted(every, key=lambda e: (-e.on.toordinal(), KINDS.index(e.kind), e.link))


def _of_work(verdict: WorkVerdict, mixes: Mapping[int, Sequence[Ingredient]]) -> list[Event]:
    work = verdict.record.work
    found = [_session(s.session, work, mixes.get(s.session.id or 0, ())) for s in verdict.record.sessions]
    found += [_follow_up(f, work) for f in verdict.record.follow_ups]
    for judged in verdict.cycles:
        if judged.latest is None or judged.flag.kind == "too few photos":
            continue
        found.append(
            Event(
                judged.latest.reading.on,
                "flag",
                f"Judged {judged.flag.kind}, since the {judged.cycle.session.kind}",
                (judged.flag.sentence,),
                f"/works/{work.id}#cycle-{judged.cycle.session.key}",
                work.id,
                work.site,
            )
        )
    if work.aim_agreed_on is not None:
        lab = tuple(work.aim_lab or ())
        title = f"Aim agreed, from the {work.aim_from}" if work.aim_from else "Aim agreed"
        lines = (work.aim_note,) if work.aim_note else ()
        found.append(
            Event(work.aim_agreed_on, "aim", title, lines, f"/works/{work.id}/aim", work.id, work.site, lab=lab)
        )
    return found


def _session(session: Session, work: Work, mix: Sequence[Ingredient]) -> Event:
    by = f", by {session.artist}" if session.artist else ""
    hand = f", {session.hand} hand" if session.hand else ""
    lines = (f"{session.technique}{hand}{by}", mix_words(mix, session), session.note)
    return Event(
        session.on_date,
        "session",
        session.kind[0].upper() + session.kind[1:],
        tuple(line for line in lines if line),
        f"/sessions/{session.id}",
        work.id,
        work.site,
        session.day_is_rough,
    )


def _follow_up(item: FollowUpRecord, work: Work) -> Event:
    follow_up, row = item.follow_up, item.measurement
    lines = [follow_up.note]
    lab: tuple[float, ...] = ()
    if row is None:
        lines.append("The photo is stored and not yet measured.")
    else:
        lab = tuple(row.pigment_lab)
        L, a, b = (number(value) for value in lab)
        lines.append(f"Pigmented skin L* {L}, a* {a}, b* {b}; {row.grade}.")
        skin = measured_skin(row)
        if skin is not None:
            reading = read_skin(skin)
            lines.append(
                f"Bare skin {reading.tone}, ITA {reading.angle:.0f}°, hue {reading.hue:.0f}°.".replace("-", "−")
            )
        if follow_up.taken_in_because:
            lines.append(f"Taken in all the same: {follow_up.taken_in_because}")
    return Event(
        follow_up.on_date,
        "follow-up",
        "Follow-up",
        tuple(line for line in lines if line),
        f"/follow-ups/{follow_up.id}",
        work.id,
        work.site,
        lab=lab,
        follow_up_id=follow_up.id if row is not None else None,
    )


def _asked(asking: Questioning) -> Event:
    care = [QUESTIONS.get(key, key) for key in needs_care(asking.answers)]
    said = f"Answered with yes: {'; '.join(care)}." if care else "No question was answered with yes."
    lines = (said, asking.note) if asking.note else (said,)
    return Event(asking.asked_on, "questions", "Questions before work", lines, f"/clients/{asking.client_id}/questions")


def _of_consent(consent: Consent) -> list[Event]:
    link = f"/clients/{consent.client_id}/consents"
    lines = (consent.note,) if consent.note else ()
    found = [Event(consent.given_on, "consent", f"Consent to {consent.scope} given", lines, link)]
    if consent.withdrawn_on is not None:
        found.append(Event(consent.withdrawn_on, "consent", f"Consent to {consent.scope} withdrawn", (), link))
    return found
