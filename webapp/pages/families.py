"""How pigment families hold up across the clientele."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session as DatabaseSession

from webapp.charts.family_rates import FamilyRate, family_rates_chart
from webapp.charts.style import Width
from webapp.drift.families import FEWEST_CLIENTS, FamilySummary, PooledRate, summarise_families
from webapp.pages.judgement import family_trends, judge_work
from webapp.pages.render import page
from webapp.pages.studio import Rows, StudioSettings
from webapp.records import queries
from webapp.settings import Settings

router = APIRouter(prefix="/families")
Quantity = Literal["warmth", "lightness", "density"]
_TITLES: dict[Quantity, str] = {
    "warmth": "← cooler · warmth beyond fading, a year · warmer →",
    "lightness": "← deeper · change of L* a year · lighter →",
    "density": "← fades · % of density a year · deepens →",
}


@router.get("")
def show_families(request: Request, rows: Rows, settings: StudioSettings) -> HTMLResponse:
    """Show the pooled rates."""
    return page(
        request,
        "families.html",
        summaries=_summaries(rows, settings),
        quantities=tuple(_TITLES),
        fewest_clients=FEWEST_CLIENTS,
    )


@router.get("/{quantity}.svg")
def family_chart(rows: Rows, settings: StudioSettings, quantity: Quantity, width: Width = "wide") -> Response:
    """Draw one rate of all families."""
    rates = [
        FamilyRate(s.family, rate.per_year * scale, _scaled(rate, scale), s.too_few)
        for s in _summaries(rows, settings)
        for rate, scale in [_rate(s, quantity)]
        if rate is not None
    ]
    if not rates:
        raise HTTPException(404)
    svg = family_rates_chart(rates, _TITLES[quantity], width)
    return Response(svg, media_type="image/svg+xml")


def _summaries(rows: DatabaseSession, settings: Settings) -> tuple[FamilySummary, ...]:
    return summarise_families(family_trends([judge_work(r, settings) for r in queries.works(rows)]))


def _rate(summary: FamilySummary, quantity: Quantity) -> tuple[PooledRate | None, float]:
    if quantity == "density":
        return summary.density_share, 100.0
    return (summary.own_warmth if quantity == "warmth" else summary.lightness), 1.0


def _scaled(rate: PooledRate, scale: float) -> tuple[float, float] | None:
    return None if rate.interval is None else (rate.interval[0] * scale, rate.interval[1] * scale)
