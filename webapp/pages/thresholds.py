"""The studio's own thresholds: each figure with its source, changed in one form, and its own photos' noise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession
from sqlmodel import select

from webapp.drift.fading import compare_shapes
from webapp.drift.outliers import judged_series
from webapp.drift.rate import noise_of
from webapp.drift.thresholds import BOUNDS, Thresholds, source_of
from webapp.drift.trend import Trend, fit_trend
from webapp.pages.form import Form
from webapp.pages.judgement import cycles_of
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm, StudioSettings
from webapp.records import queries
from webapp.records.tables import StudioSetting
from webapp.settings import Settings

router = APIRouter(prefix="/thresholds")
LABELS = {
    "noticeable_fair": ("Just noticeable beside fair skin, ΔE*ab", 1.0),
    "noticeable_dark": ("Just noticeable beside dark skin, ΔE*ab", 1.0),
    "unacceptable_fair": ("No longer acceptable beside fair skin, ΔE*ab", 1.0),
    "unacceptable_dark": ("No longer acceptable beside dark skin, ΔE*ab", 1.0),
    "density_lost": ("Fading: share of the density lost, %", 100.0),
    "boost_density_lost": ("Colour boost due: share of the density lost, %", 100.0),
    "patchy_growth": ("Patchy: spread within the outline, times the first", 1.0),
    "noise_scale": ("Noise: variance of this studio's photos, times what is stated", 1.0),
}
"""What each figure is called, and by how much it is multiplied on the page."""
_FEWEST_LOOSE = 40
"""Degrees of freedom from which on the photos know their own noise to about a fifth."""


def with_stored(settings: Settings, rows: DatabaseSession) -> Settings:
    """Give settings with the studio's own thresholds in place of the start values."""
    stored = {s.name: s.value for s in rows.exec(select(StudioSetting)) if s.name in BOUNDS}
    return replace(settings, thresholds=settings.thresholds.with_own(stored))


@router.get("")
def show_thresholds(request: Request, settings: StudioSettings) -> HTMLResponse:
    """Show the figures in use."""
    return _page(request, Form(_entries(settings.thresholds)))


@router.post("", response_model=None)
def change_thresholds(
    request: Request, rows: Rows, settings: StudioSettings, form: SentForm
) -> HTMLResponse | RedirectResponse:
    """Keep the figures as entered, go back to the start values, or measure the studio's own noise."""
    if form["start_values"]:
        return _keep(request, rows, settings, Thresholds())
    if form["measure_noise"]:
        return _measure_noise(request, rows, settings)
    values = {}
    for name, (_, times) in LABELS.items():
        low, high = BOUNDS[name]
        values[name] = form.number(name, low * times, high * times) / times
    for pair in ("fair", "dark"):
        if form.sound and values[f"unacceptable_{pair}"] < values[f"noticeable_{pair}"]:
            form.errors[f"unacceptable_{pair}"] = "This must not be below what is just noticeable beside the same skin."
    if not form.sound:
        return _page(request, form, 422)
    return _keep(request, rows, settings, Thresholds(**values))


def _measure_noise(request: Request, rows: DatabaseSession, settings: Settings) -> HTMLResponse:
    series = [judged_series(cycle) for record in queries.works(rows) for cycle in cycles_of(record, settings)]
    trends = [trend for s in series if (trend := fit_trend(s)) is not None]
    straight = [trend for s in series if (trend := fit_trend(s, "straight")) is not None]
    fits = [(trend.own.misfit, trend.own.loose) for trend in trends]
    loose = sum(n for _, n in fits)
    entries = _entries(settings.thresholds)
    if loose < _FEWEST_LOOSE:
        said = (
            f"The photos cannot tell their own noise yet: {loose} of the {_FEWEST_LOOSE} comparisons needed are there. "
            "They come with third and later photos of a cycle."
        )
        return _page(request, Form(entries), said=said)
    scale = min(max(noise_of(fits).scale, BOUNDS["noise_scale"][0]), BOUNDS["noise_scale"][1])
    said = (
        f"By {loose} comparisons between photos of one cycle, their variance is {scale:.2f} times what is stated. It "
        "stands in the field below; save to judge by it. " + _curve(trends, straight)
    )
    return _page(request, Form(entries | {"noise_scale": f"{scale:.2f}"}), said=said)


def _curve(exponential: Sequence[Trend], straight: Sequence[Trend]) -> str:
    """Say which curve the studio's works fade along. Half-lives and forecasts go by the exponential in any case."""
    told = compare_shapes(
        [(e.fading, s.fading) for e, s in zip(exponential, straight, strict=True) if e.fading and s.fading]
    )
    words = {
        "exponential": "an exponential, as half-lives assume",
        "straight": "a straight line, unlike half-lives assume",
    }
    if not told.decided:
        return (
            f"Whether density falls by an exponential or straight, {told.works} works of three photos up cannot tell."
        )
    return (
        f"Over {told.works} works density falls by {words[told.better]} (Akaike's criterion better by {told.gain:.0f})."
    )


def _keep(request: Request, rows: DatabaseSession, settings: Settings, chosen: Thresholds) -> RedirectResponse:
    start = Thresholds()
    for name in BOUNDS:
        row = rows.get(StudioSetting, name)
        value = getattr(chosen, name)
        if value == getattr(start, name):
            if row is not None:
                rows.delete(row)
        elif row is None:
            rows.add(StudioSetting(name=name, value=value))
        else:
            row.value = value
    rows.commit()
    request.app.state.settings = replace(settings, thresholds=chosen)
    request.app.state.judging.wake()
    return RedirectResponse("/thresholds?saved=yes", 303)


def _entries(thresholds: Thresholds) -> dict[str, str]:
    return {name: f"{getattr(thresholds, name) * times:g}" for name, (_, times) in LABELS.items()}


def _page(request: Request, form: Form, status: int = 200, said: str = "") -> HTMLResponse:
    start = Thresholds()
    fields = [
        (name, label, f"Start value {getattr(start, name) * times:g}: {source_of(name)}.")
        for name, (label, times) in LABELS.items()
    ]
    if request.query_params.get("saved"):
        said = "Saved. Every work is judged by these figures from now on."
    return page(request, "thresholds.html", status, form=form, fields=fields, said=said)
