"""How pigment families, and whatever else works can be grouped by, hold up across the clientele."""

from __future__ import annotations

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, Response

from webapp.charts.drift_paths import MOST_LINES, GroupPaths, drift_paths_chart
from webapp.charts.forest import ForestRow, forest_chart
from webapp.charts.style import Width
from webapp.drift import adjusting, differences, meta_regression, pooling
from webapp.drift.groups import FEWEST_CLIENTS
from webapp.pages.family_choice import QUANTITIES, TRAITS, read_choice
from webapp.pages.family_csv import to_csv
from webapp.pages.family_view import FamilyView, GroupView, make_view
from webapp.pages.family_words import left_out, verdict
from webapp.pages.judged_works import judge_ahead
from webapp.pages.judging_ahead import RESTS_ON_ALL_WORKS
from webapp.pages.render import page
from webapp.pages.studio import Rows, StudioSettings

router = APIRouter()
MOST_ROWS = 16
"""Groups drawn in a chart; the table holds them all."""
MOST_PANELS = 9


@router.get("/families", dependencies=RESTS_ON_ALL_WORKS)
def show_families(request: Request, rows: Rows, settings: StudioSettings) -> HTMLResponse:
    """Show the pooled rates of what the address asks for."""
    choice, wrong = read_choice(request.query_params)
    view = make_view(rows, settings, choice)
    return page(
        request,
        "families.html",
        422 if wrong else 200,
        view=view,
        choice=choice,
        wrong=wrong,
        sentences=verdict(view),
        left_out=left_out(view),
        traits=TRAITS,
        quantities=QUANTITIES,
        fewest_clients=FEWEST_CLIENTS,
        most={"rows": MOST_ROWS, "panels": MOST_PANELS, "lines": MOST_LINES},
        sources=(pooling.SOURCE, differences.SOURCE, meta_regression.SOURCE),
        fewest_left_over=adjusting.FEWEST_LEFT_OVER,
    )


@router.get("/families/rates.svg")
def rates_chart(request: Request, rows: Rows, settings: StudioSettings, width: Width = "wide") -> Response:
    """Draw the forest plot."""
    view = _view(request, rows, settings)
    quantity = view.choice.quantity
    drawn = [
        ForestRow(
            g.name,
            _counts(g, g.rate.count),
            quantity.shown(g.rate.mean),
            quantity.shown_ends(g.rate.interval),
            g.too_few,
            None if g.adjusted is None else quantity.shown(g.adjusted.mean),
            None if g.adjusted is None else quantity.shown_ends(g.adjusted.interval),
        )
        for g in _largest(view, MOST_ROWS)
        if g.rate is not None
    ]
    return _svg(forest_chart(drawn, quantity.axis, width) if drawn else None)


@router.get("/families/paths.svg")
def paths_chart(request: Request, rows: Rows, settings: StudioSettings, width: Width = "wide") -> Response:
    """Draw the clients' drift, a panel a group."""
    view = _view(request, rows, settings)
    quantity, own = view.choice.quantity, view.entries()
    drawn = [
        GroupPaths(
            g.name,
            [(e.rate, e.months) for e in own.get(g.group.label, ())],
            g.rate.mean,
            g.rate.interval,
            g.too_few,
        )
        for g in _largest(view, MOST_PANELS)
        if g.rate is not None
    ]
    title = quantity.axis.replace(" in a year", "").replace(", a year", "").replace(" a year", "")
    return _svg(drift_paths_chart(drawn, title, width, quantity.shown) if drawn else None)


@router.get("/families/half-lives.svg")
def half_lives_chart(request: Request, rows: Rows, settings: StudioSettings, width: Width = "wide") -> Response:
    """Draw the half-lives."""
    view = _view(request, rows, settings)
    drawn = [
        ForestRow(
            g.name,
            _counts(g, g.group.rates["fading"].count),
            g.half_life.months,
            g.half_life.interval,
            g.half_life_too_few,
        )
        for g in _largest(view, MOST_ROWS)
        if g.half_life is not None
    ]
    title = "months until half the density is gone"
    return _svg(forest_chart(drawn, title, width, from_zero=True) if drawn else None)


@router.get("/families.csv")
def families_csv(request: Request, rows: Rows, settings: StudioSettings) -> Response:
    """Give the figures as a file for a spreadsheet: of all works, even if they have yet to be judged."""
    judge_ahead(request.app.state.engine, lambda: settings)
    return Response(
        "\ufeff" + to_csv(_view(request, rows, settings)),
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="families.csv"'},
    )


def _view(request: Request, rows: Rows, settings: StudioSettings) -> FamilyView:
    return make_view(rows, settings, read_choice(request.query_params)[0])


def _largest(view: FamilyView, most: int) -> list[GroupView]:
    """Give the groups with the most clients, in the order of the page."""
    largest = sorted(view.groups, key=lambda g: -g.group.clients)[:most]
    return [g for g in view.groups if g in largest]


def _counts(view: GroupView, clients: int) -> str:
    return f"{clients} client{'s' * (clients != 1)}"


def _svg(chart: str | None) -> Response:
    if chart is None:
        raise HTTPException(404)
    return Response(chart, media_type="image/svg+xml")
