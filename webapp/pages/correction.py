"""The page of a correction: which way, whether adding can get there, what each pigment on the shelf can reach."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

import numpy as np
from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session as DatabaseSession

from webapp.charts.hue_ring import RingEnd, hue_ring_chart
from webapp.charts.style import Width
from webapp.colorimetry.encodings import Floats
from webapp.correction.cautions import BEGINNER, cautions
from webapp.correction.direction import HUE_WORDS, Direction, direct
from webapp.correction.gap import judge_gap
from webapp.correction.reach import Place, reach
from webapp.correction.typical import Subject, typical_ageing
from webapp.drift.thresholds import SOURCE
from webapp.pages.density_limit import limits_for
from webapp.pages.form import Form
from webapp.pages.judgement import CycleVerdict, judge_work
from webapp.pages.judging_ahead import RESTS_ON_ALL_WORKS
from webapp.pages.learned import learn, place_of
from webapp.pages.picked_colour import read_colour
from webapp.pages.render import page, plain_day
from webapp.pages.studio import Rows, StudioSettings, found
from webapp.records import queries
from webapp.records.queries import WorkRecord
from webapp.records.tables import Work
from webapp.records.words import FAMILIES
from webapp.settings import Settings

router = APIRouter(prefix="/works/{work_id}/correction")
SHOWN_AT_FIRST = 6
AIMS = {
    "agreed": "the colour agreed with the client",
    "baseline": "the baseline of this cycle",
    "picked": "a colour I give",
}


@dataclass(frozen=True)
class Asked:
    """What the page is about: the work, its present cycle, and the aim that was chosen.

    `aim` is None where the chosen aim is missing or wrong; the form says why. `skin` is the bare skin that all
    colours are anchored on, None where the baseline shows none.
    """

    record: WorkRecord
    judged: CycleVerdict | None
    form: Form
    aim: Floats | None
    choices: tuple[tuple[str, str], ...]
    direction: Direction | None = None
    covariance: Floats | None = None
    skin: Floats | None = None


@router.get("", dependencies=RESTS_ON_ALL_WORKS)
def show_correction(request: Request, rows: Rows, settings: StudioSettings, work_id: int) -> HTMLResponse:
    """Show the page for the aim that the address names, else the agreed one, else the baseline."""
    asked = _asked(request, rows, settings, work_id)
    client, work = asked.record.client, asked.record.work
    reached = gap = None
    learned = learn(rows, settings)
    if asked.direction is not None and asked.skin is not None and asked.judged and asked.judged.latest:
        session, latest = asked.judged.cycle.session, asked.judged.latest
        subject = Subject(None, session.family, session.technique, place_of(work.site))
        place = Place(
            latest.lab, asked.skin, asked.direction.aim, latest.covariance, typical_ageing(subject, learned.courses)
        )
        technique = session.technique
        ageings = {f: typical_ageing(Subject(None, f, technique, subject.place), learned.courses) for f in FAMILIES}
        limits = limits_for(settings.thresholds, asked.skin, subject.place, learned)
        layers = learned.layers
        reached = reach(place, layers, ageings, limits)
        lighter = asked.direction.depth_word == "lighter"
        gap = judge_gap(reached, lighter, asked.direction.real, limits.acceptable)
    carbon = reached is not None and any(
        layer.family in ("carbon/organic", "hybrid") for o in reached.options for layer in o.layers
    )
    words = f"{client.skin_notes} {client.skin_quality} {'mature' if client.age_band == '65 and over' else ''}"
    return page(
        request,
        "correction.html",
        422 if asked.form.errors else 200,
        asked=asked,
        form=asked.form,
        record=asked.record,
        reached=reached,
        gap=gap,
        shown=SHOWN_AT_FIRST,
        query=urlencode([(k, v) for k, v in asked.form.texts() if v]),
        cautions=cautions(work.site, words, carbon),
        beginner=BEGINNER,
        threshold_source=SOURCE,
        shelf_is_empty=not learned.shelf,
    )


@router.get("/ring.svg")
def show_ring(request: Request, rows: Rows, settings: StudioSettings, work_id: int, width: Width = "wide") -> Response:
    """Draw the hue ring for the same aim as the page."""
    asked = _asked(request, rows, settings, work_id)
    if asked.direction is None or asked.covariance is None:
        raise HTTPException(404)
    # In two dimensions the 95 % circle is wider than 1.96 standard deviations: √χ²(2; 0.05) = 2.45.
    noise = 2.45 * float(np.sqrt(np.trace(asked.covariance[1:, 1:]) / 2))
    svg = hue_ring_chart(
        RingEnd(asked.direction.present, "now"), RingEnd(asked.direction.aim, "aim"), noise, HUE_WORDS, width
    )
    return Response(svg, media_type="image/svg+xml")


def _asked(request: Request, rows: DatabaseSession, settings: Settings, work_id: int) -> Asked:
    found(rows, Work, work_id)
    record = queries.works(rows, [work_id])[0]
    cycles = judge_work(record, settings).cycles
    judged = cycles[-1] if cycles else None
    latest = judged.latest if judged else None
    agreed = record.work.aim_lab
    named = AIMS | {"agreed": AIMS["agreed"] + agreed_words(record.work)}
    choices = tuple((key, words) for key, words in named.items() if key != "agreed" or agreed is not None)
    entries = {k: request.query_params.get(k, "") for k in ("aim", "colour", "L", "a", "b")}
    form = Form(entries | {"aim": entries["aim"] or ("agreed" if agreed is not None else "baseline")})
    aim = None
    chosen = form.choice("aim", [key for key, _ in choices])
    if chosen == "picked":
        aim = read_colour(form)
    elif chosen == "agreed" and agreed is not None:
        aim = np.array(agreed)
    elif chosen == "baseline" and latest is not None:
        aim = latest.comparison.best.before
    if aim is None or latest is None:
        return Asked(record, judged, form, aim, choices)
    # Told from the baseline the latest colour is anchored on its skin; told from any other colour it has all its error.
    change = latest.comparison.best
    covariance = change.covariance if chosen == "baseline" else latest.reading.pigment.covariance
    words = {"agreed": "the agreed aim", "baseline": "the baseline", "picked": "the colour given"}[chosen]
    skin = latest.comparison.skin
    return Asked(
        record,
        judged,
        form,
        aim,
        choices,
        direct(latest.lab, aim, covariance, words),
        covariance,
        None if skin is None else skin.before,
    )


def agreed_words(work: Work) -> str:
    """Say where an agreed aim comes from and when it was agreed, as words to follow its name."""
    source = {"photo": "measured in a photo", "swatch": "a swatch", "baseline": "a baseline"}.get(work.aim_from, "")
    day = f"on {plain_day(work.aim_agreed_on)}" if work.aim_agreed_on else ""
    return "".join(f", {words}" for words in (day, source) if words)
