"""The tone of bare skin through the years, with the borders of its classes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from webapp.charts.style import INK, QUIET, WIDTHS, Width, to_svg

_HEIGHT = 190
_BORDERS = ((55.0, "very light"), (41.0, "light"), (28.0, "intermediate"), (10.0, "tan"), (-30.0, "brown"))
"""Where each class begins, in degrees of ITA; below the last is dark."""
_ROOM = 6.0


@dataclass(frozen=True)
class TonePoint:
    """One reading: the year with its fraction, ITA in degrees with its standard deviation, the colour to draw."""

    year: float
    angle: float
    sd: float
    colour: str


def skin_tone_chart(points: Sequence[TonePoint], width: Width) -> str:
    """Chart ITA against time; a line through a dot is ± one standard deviation."""
    low = min(p.angle - p.sd for p in points) - _ROOM
    high = max(p.angle + p.sd for p in points) + _ROOM
    first, last = min(p.year for p in points), max(p.year for p in points)
    room = max((last - first) * 0.06, 0.15)
    x = alt.X(
        "year:Q",
        title="year",
        scale=alt.Scale(domain=[first - room, last + room], nice=False),
        axis=alt.Axis(format="d", values=list(range(int(first - room), int(last + room) + 2)), grid=False),
    )
    scale = alt.Scale(domain=[low, high], nice=False)
    y = alt.Y("angle:Q", title="← darker · ITA, ° · lighter →", scale=scale, axis=alt.Axis(tickCount=6, grid=False))
    borders = {angle: name for angle, name in _BORDERS if low < angle < high}
    named = "{" + ", ".join(f"'{angle:g}': '{name}'" for angle, name in borders.items()) + "}"
    classes = alt.Axis(
        orient="right",
        values=list(borders),
        labelExpr=f"{named}[datum.value] + ' ↑'",
        grid=False,
        ticks=False,
        title=None,
    )
    lines = (
        alt.Chart(alt.Data(values=[{"angle": angle} for angle in borders]))
        .mark_rule(color=QUIET, strokeDash=[2, 3])
        .encode(y=alt.Y("angle:Q", scale=scale, axis=classes))
    )
    rows = [
        {"year": p.year, "angle": p.angle, "low": p.angle - p.sd, "high": p.angle + p.sd, "fill": p.colour}
        for p in points
    ]
    base = alt.Chart(alt.Data(values=rows))
    bars = base.mark_rule(color=INK).encode(x=x, y=alt.Y("low:Q", scale=scale), y2="high:Q")
    dots = base.mark_point(size=130, opacity=1, strokeWidth=1.4, stroke=INK).encode(
        x=x, y=y, fill=alt.Fill("fill:N", scale=None, legend=None)
    )
    measured = alt.layer(bars, dots)
    chart = alt.layer(lines, measured).resolve_axis(y="independent") if borders else measured
    return to_svg(chart.properties(width=WIDTHS[width], height=_HEIGHT), width)
