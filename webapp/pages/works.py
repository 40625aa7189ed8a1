"""A work through time: photos side by side, charts, flag, direction of correction, sessions."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Literal

import numpy as np
from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, Response

from webapp.charts import ab_plane, over_time
from webapp.charts.style import ChartPoint, Width
from webapp.colorimetry.warmth import warmth
from webapp.drift.prior import Quantity
from webapp.drift.series import Point
from webapp.pages.chart_words import chart_words
from webapp.pages.expectations import studio_priors
from webapp.pages.judgement import CycleVerdict, judge_work
from webapp.pages.judging_ahead import RESTS_ON_ALL_WORKS
from webapp.pages.render import hex_colour, page, plain_day
from webapp.pages.studio import Rows, StudioSettings, found
from webapp.records import queries
from webapp.records.tables import Work

router = APIRouter(prefix="/works")
ChartName = Literal["difference", "lightness", "warmth", "hue", "path", "density", "correction"]
CHART_NAMES: tuple[ChartName, ...] = ("difference", "warmth", "density", "path", "lightness", "hue")
QUANTITIES: tuple[tuple[Quantity, str], ...] = (
    ("own_warmth", "warmth beyond fading"),
    ("own_cross", "across warmth, beyond fading (yellow-olive +, pink-violet −)"),
    ("warmth", "warmth in all"),
    ("lightness", "L*"),
    ("a", "a*"),
    ("b", "b*"),
    ("fading", "share of what is left that fades, %"),
)


@router.get("/{work_id}", dependencies=RESTS_ON_ALL_WORKS)
def show_work(request: Request, rows: Rows, settings: StudioSettings, work_id: int) -> HTMLResponse:
    """Show a work, its present cycle first."""
    found(rows, Work, work_id)
    record = queries.works(rows, [work_id])[0]
    verdict = judge_work(record, settings, studio_priors(rows, settings))
    return page(
        request,
        "work.html",
        verdict=verdict,
        record=record,
        consent=queries.consent_in_force(rows, record.client.id or 0),
        follow_ups={f.follow_up.id: f for f in record.follow_ups},
        before_all=[f for f in record.follow_ups if f.measurement and _before_all(f.follow_up.on_date, record)],
        left_out={p.reading.key: p.because for c in verdict.cycles for p in c.series if p.because},
        charts=CHART_NAMES,
        chart_words=chart_words,
        quantities=QUANTITIES,
        healing_days=settings.healing_days,
    )


@router.get("/{work_id}/cycles/{session_id}/{name}.svg")
def show_chart(
    rows: Rows, settings: StudioSettings, work_id: int, session_id: int, name: ChartName, width: Width = "wide"
) -> Response:
    """Draw one chart of one cycle."""
    found(rows, Work, work_id)
    verdict = judge_work(queries.works(rows, [work_id])[0], settings)
    cycle = next((c for c in verdict.cycles if c.cycle.session.key == session_id and c.series), None)
    if cycle is None:
        raise HTTPException(404)
    return Response(_draw(cycle, name, width), media_type="image/svg+xml")


def _before_all(day: date, record: queries.WorkRecord) -> bool:
    """Say whether no session is entered that a photo of this day could follow."""
    return all(s.session.on_date > day for s in record.sessions)


def _draw(verdict: CycleVerdict, name: ChartName, width: Width) -> str:
    series = verdict.series
    start = next(p for p in series if p.reading is verdict.baseline)
    sds = np.array([p.comparison.best.sd for p in series])
    limit = 1.96 * np.median(sds, axis=0)
    warmth_noise = 1.96 * float(np.median([p.comparison.best.warmth_sd for p in series]))
    # In two dimensions the 95 % circle is wider than 1.96 standard deviations: √χ²(2; 0.05) = 2.45.
    plane_noise = 2.45 * float(np.median([np.sqrt(np.mean(np.square(sd[1:]))) for sd in sds]))

    def point(p: Point, value: float, sd: float) -> ChartPoint:
        return ChartPoint(p.months, value, sd, p.state, hex_colour(p.lab), plain_day(p.reading.on))

    if name == "difference":
        points = [point(p, p.comparison.best.delta_e, p.comparison.best.delta_e_sd) for p in series]
        return over_time.delta_e_chart(points, float(np.median([p.comparison.best.limit for p in series])), width)
    if name == "lightness":
        return over_time.lightness_chart(
            [point(p, float(p.lab[0] - start.lab[0]), float(np.sqrt(p.covariance[0, 0]))) for p in series],
            float(limit[0]),
            width,
        )
    if name == "warmth":
        origin = float(warmth(start.lab))
        return over_time.warmth_chart(
            [point(p, float(warmth(p.lab)) - origin, p.comparison.best.warmth_sd / 2**0.5) for p in series],
            [(p.months, p.faded_warmth - origin) for p in series if p.faded_warmth is not None and p.state == "healed"],
            warmth_noise,
            width,
        )
    if name == "hue":
        turn_sd = [p.comparison.best.hue_sd for p in series]
        return over_time.hue_chart(
            [point(p, p.comparison.best.hue, sd / 2**0.5) for p, sd in zip(series, turn_sd, strict=True)],
            1.96 * float(np.median(turn_sd)),
            width,
        )
    if name == "density":
        return _draw_density(verdict, start, point, width)
    if name == "correction":
        if verdict.direction is None:
            raise HTTPException(404)
        present, aim = verdict.direction.present, verdict.direction.aim
        return ab_plane.arrow_chart(_plane_point(present, "latest"), _plane_point(aim, "baseline"), plane_noise, width)
    latest = verdict.latest
    return ab_plane.path_chart(
        [_plane_point(p.lab, "baseline" if p is start else "latest" if p is latest else "", p.state) for p in series],
        plane_noise,
        width,
    )


def _plane_point(lab: np.ndarray, label: str, state: str = "healed") -> ab_plane.PlanePoint:
    return ab_plane.PlanePoint(float(lab[1]), float(lab[2]), state, hex_colour(lab), label)


def _draw_density(
    verdict: CycleVerdict, start: Point, point: Callable[[Point, float, float], ChartPoint], width: Width
) -> str:
    origin, fading = start.density, verdict.trend.fading if verdict.trend else None
    seen = [(p, p.density, p.density_sd) for p in verdict.series if p.density is not None and p.density_sd is not None]
    if origin is None or not seen:
        raise HTTPException(404)
    curve = []
    if fading is not None:
        healed = [p.months for p in verdict.series if p.state == "healed"]
        curve = [
            (float(m), fading.at_start * fading.share_left(float(m) - healed[0]) - origin)
            for m in np.linspace(healed[0], healed[-1], 25)
        ]
    noise = 1.96 * 2**0.5 * float(np.median([sd for _, _, sd in seen]))
    return over_time.density_chart([point(p, value - origin, sd) for p, value, sd in seen], curve, noise, width)
