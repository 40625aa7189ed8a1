"""A work through time: photos side by side, charts, flag, direction of correction, sessions."""

from __future__ import annotations

from datetime import date
from typing import Literal

import numpy as np
from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, Response

from webapp.charts import ab_plane, over_time
from webapp.charts.style import ChartPoint, Width
from webapp.colorimetry.warmth import warmth
from webapp.drift.series import Point
from webapp.drift.thresholds import SOURCE
from webapp.pages.judgement import CycleVerdict, judge_work
from webapp.pages.render import hex_colour, page, plain_day
from webapp.pages.studio import Rows, StudioSettings, found
from webapp.records import queries
from webapp.records.tables import Work

router = APIRouter(prefix="/works")
ChartName = Literal["difference", "lightness", "warmth", "hue", "path", "correction"]
CHART_NAMES: tuple[ChartName, ...] = ("path", "difference", "lightness", "warmth", "hue")


@router.get("/{work_id}")
def show_work(request: Request, rows: Rows, settings: StudioSettings, work_id: int) -> HTMLResponse:
    """Show a work, its present cycle first."""
    found(rows, Work, work_id)
    record = queries.works(rows, [work_id])[0]
    return page(
        request,
        "work.html",
        verdict=judge_work(record, settings),
        record=record,
        consent=queries.consent_in_force(rows, record.client.id or 0),
        follow_ups={f.follow_up.id: f for f in record.follow_ups},
        before_all=[f for f in record.follow_ups if f.measurement and _before_all(f.follow_up.on_date, record)],
        charts=CHART_NAMES,
        threshold_source=SOURCE,
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
    start = next(p for p in series if p.reading is verdict.cycle.baseline)
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
