"""The chart that compares groups: a forest plot of rates with their intervals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

import altair as alt

from webapp.charts.style import GRID, INK, QUIET, WIDTHS, Width, to_svg

TOO_FEW = "#8a8a8a"
"""Grey of groups that too few clients stand behind; they are hollow too, so that grey is not all that says it."""
_ROW = 44


@dataclass(frozen=True)
class ForestRow:
    """One group: its label and counts, the value with its interval where there is one, whether too few clients stand
    behind it, and the adjusted value beside it. An end of an interval may be infinite."""

    label: str
    counts: str
    value: float
    interval: tuple[float, float] | None
    too_few: bool
    adjusted: float | None = None
    adjusted_interval: tuple[float, float] | None = None


def forest_chart(rows: Sequence[ForestRow], title: str, width: Width, from_zero: bool = False) -> str:
    """Chart groups one below the other: a dot and its 95 % interval; below it, as a diamond, the adjusted value.

    A line stands at zero, unless the axis starts there. Where an interval goes beyond the plot, it ends in an arrow.
    """
    low, high = _reach(rows, from_zero)
    places = [(i + shift, r, *mark) for i, r in enumerate(rows) for *mark, shift in _marks(r)]
    marks = [
        {
            "y": y,
            "value": value,
            "low": max((interval or (value,) * 2)[0], low),
            "high": min((interval or (value,) * 2)[1], high),
            "kind": kind,
            "colour": TOO_FEW if r.too_few else INK,
            "fill": "#00000000" if r.too_few or kind == "adjusted" else INK,
        }
        for y, r, kind, value, interval in places
        if low <= value <= high
    ]
    beyond = [
        {"y": y, "value": end, "sign": sign, "colour": TOO_FEW if r.too_few else INK}
        for y, r, _, value, interval in places
        for end, sign, over in (
            (low, "◂", min(value, *(interval or (value,))) < low),
            (high, "▸", max(value, *(interval or (value,))) > high),
        )
        if over
    ]
    scale = alt.Scale(domain=[low, high], nice=False)
    x = alt.X("value:Q", title=title, scale=scale, axis=alt.Axis(tickCount=6))
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[len(rows) - 0.5, -0.5], nice=False))
    base = alt.Chart(alt.Data(values=marks))
    colour = alt.Stroke("colour:N", scale=None, legend=None)
    bars = base.mark_rule(strokeWidth=1.6).encode(x=alt.X("low:Q", scale=scale), x2="high:Q", y=y, stroke=colour)
    dots = base.mark_point(size=90, opacity=1, strokeWidth=1.6).encode(
        x=x,
        y=y,
        stroke=colour,
        fill=alt.Fill("fill:N", scale=None, legend=None),
        shape=alt.Shape(
            "kind:N", scale=alt.Scale(domain=["plain", "adjusted"], range=["circle", "diamond"]), legend=None
        ),
    )
    arrows = (
        alt.Chart(alt.Data(values=beyond))
        .mark_text(fontSize=15)
        .encode(x=x, y=y, text="sign:N", color=alt.Color("colour:N", scale=None, legend=None))
    )
    names = [
        {"y": i - 0.31, "value": low, "words": f"{r.label}  ({r.counts})", "colour": QUIET if r.too_few else INK}
        for i, r in enumerate(rows)
    ]
    words = (
        alt.Chart(alt.Data(values=names))
        .mark_text(align="left", dx=2)
        .encode(x=x, y=y, text="words:N", color=alt.Color("colour:N", scale=None, legend=None))
    )
    lines = alt.Chart(alt.Data(values=[{"y": i - 0.5} for i in range(1, len(rows))]))
    between = lines.mark_rule(color=GRID).encode(y=y)
    layers = [between, bars, dots, arrows, words]
    if not from_zero:
        layers.insert(1, alt.Chart(alt.Data(values=[{"value": 0}])).mark_rule(color=QUIET).encode(x=x))
    return to_svg(alt.layer(*layers).properties(width=WIDTHS[width], height=_ROW * len(rows)), width)


def _marks(row: ForestRow) -> list[tuple[str, float, tuple[float, float] | None, float]]:
    if row.adjusted is None:
        return [("plain", row.value, row.interval, 0.12)]
    return [("plain", row.value, row.interval, 0.02), ("adjusted", row.adjusted, row.adjusted_interval, 0.3)]


def _reach(rows: Sequence[ForestRow], from_zero: bool) -> tuple[float, float]:
    """Give the axis' ends: what holds the values, those of few clients cut where they lie far beyond the others'."""
    solid = [r for r in rows if not r.too_few] or rows
    values = [abs(v) for r in solid for v in (r.value, r.adjusted) if v is not None and isfinite(v)]
    intervals = [i for r in solid if not r.too_few for i in (r.interval, r.adjusted_interval) if i]
    ends = [abs(v) for interval in intervals for v in interval if isfinite(v)]
    most = max([*values, 1e-3])
    bound = min(max([most, *ends]), 6 * most) * 1.1
    return (0.0, bound) if from_zero else (-bound, bound)
