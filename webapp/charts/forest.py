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
    drawn = [mark for i, row in enumerate(rows) for mark in _marks(i, row)]
    marks = [
        {
            "y": m.y,
            "value": m.value,
            "low": max(m.low, low),
            "high": min(m.high, high),
            "kind": m.kind,
            "colour": TOO_FEW if m.too_few else INK,
            "fill": "#00000000" if m.too_few or m.kind == "adjusted" else INK,
        }
        for m in drawn
        if low <= m.value <= high
    ]
    beyond = [
        {"y": m.y, "value": end, "sign": sign, "colour": TOO_FEW if m.too_few else INK}
        for m in drawn
        for end, sign, over in ((low, "◂", m.low < low), (high, "▸", m.high > high))
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


@dataclass(frozen=True)
class _Mark:
    """One value in the plot; where it has no interval, `low` and `high` are the value."""

    y: float
    kind: str
    value: float
    low: float
    high: float
    too_few: bool


def _marks(place: int, row: ForestRow) -> list[_Mark]:
    def mark(shift: float, kind: str, value: float, interval: tuple[float, float] | None) -> _Mark:
        low, high = interval or (value, value)
        return _Mark(place + shift, kind, value, min(low, value), max(high, value), row.too_few)

    if row.adjusted is None:
        return [mark(0.12, "plain", row.value, row.interval)]
    return [
        mark(0.02, "plain", row.value, row.interval),
        mark(0.3, "adjusted", row.adjusted, row.adjusted_interval),
    ]


def _reach(rows: Sequence[ForestRow], from_zero: bool) -> tuple[float, float]:
    """Give the axis' ends: what holds the values, those of few clients cut where they lie far beyond the others'."""
    solid = [r for r in rows if not r.too_few] or rows
    values = [v for r in solid for v in (r.value, r.adjusted) if v is not None and isfinite(v)]
    intervals = [i for r in solid if not r.too_few for i in (r.interval, r.adjusted_interval) if i]
    ends = [v for interval in intervals for v in interval if isfinite(v)]
    most = max([*map(abs, values), 1e-3])
    low, high = min([-0.2 * most, *values, *ends]), max([0.2 * most, *values, *ends])
    low, high = 1.1 * max(low, -6 * most), 1.1 * min(high, 6 * most)
    return (0.0 if from_zero else low, high)
