"""Charts in the plane of a* and b*."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from webapp.charts.style import INK, NOISE, QUIET, WIDTHS, Width, to_svg


@dataclass(frozen=True)
class PlanePoint:
    """One colour in the a*b* plane: in which state, in what colour to draw it, and what to write beside it."""

    a: float
    b: float
    state: str
    colour: str
    label: str


def path_chart(points: Sequence[PlanePoint], noise: float, width: Width) -> str:
    """Chart the way of a colour through the plane; the disc of radius `noise` is about the baseline's noise."""
    baseline = next(p for p in points if p.state == "healed")
    plane = _plane([(p.a, p.b) for p in points], baseline, noise)
    disc = _disc(baseline, noise, plane, width)
    rows = [
        {
            "a": p.a,
            "b": p.b,
            "label": p.label,
            "order": i,
            "state": p.state,
            "fill": p.colour if p.state == "healed" else "#00000000",
            "edge": INK if p.state == "healed" else p.colour,
        }
        for i, p in enumerate(points)
    ]
    healed = alt.Chart(alt.Data(values=[r for r in rows if r["state"] == "healed"]))
    line = healed.mark_line(color=QUIET, strokeWidth=1.2).encode(x=plane.x, y=plane.y, order="order:Q")
    dots = (
        alt.Chart(alt.Data(values=rows))
        .mark_point(size=130, opacity=1, strokeWidth=1.6, filled=False)
        .encode(
            x=plane.x,
            y=plane.y,
            fill=alt.Fill("fill:N", scale=None, legend=None),
            stroke=alt.Stroke("edge:N", scale=None, legend=None),
            shape=alt.Shape(
                "state:N",
                scale=alt.Scale(domain=["healed", "healing", "set aside"], range=["circle", "circle", "cross"]),
                legend=None,
            ),
        )
    )
    ends = [r for r in rows if r["label"]]
    words = (
        alt.Chart(alt.Data(values=ends))
        .mark_text(align="left", dx=10, dy=-9)
        .encode(x=plane.x, y=plane.y, text="label:N")
    )
    return to_svg(alt.layer(disc, line, dots, words).properties(width=_side(width), height=_side(width)), width)


def arrow_chart(present: PlanePoint, aim: PlanePoint, noise: float, width: Width) -> str:
    """Chart the direction of correction as an arrow from the present colour to the aim."""
    plane = _plane([(present.a, present.b), (aim.a, aim.b)], aim, noise)
    disc = _disc(aim, noise, plane, width)
    ends = [{"a": p.a, "b": p.b, "fill": p.colour, "label": p.label} for p in (present, aim)]
    dots = (
        alt.Chart(alt.Data(values=ends))
        .mark_point(size=190, opacity=1, strokeWidth=1.4, filled=False, stroke=INK)
        .encode(x=plane.x, y=plane.y, fill=alt.Fill("fill:N", scale=None, legend=None))
    )
    words = (
        alt.Chart(alt.Data(values=ends))
        .mark_text(align="left", dx=12, dy=-11)
        .encode(x=plane.x, y=plane.y, text="label:N")
    )
    layers = [disc, *_arrow(present, aim, plane), dots, words]
    return to_svg(alt.layer(*layers).properties(width=_side(width), height=_side(width)), width)


def _side(width: Width) -> int:
    return min(WIDTHS[width], 320)


@dataclass(frozen=True)
class _Plane:
    """Two axes of one scale, so that angles are true; `reach` is half the length of each."""

    x: alt.X
    y: alt.Y
    reach: float


def _plane(spots: Sequence[tuple[float, float]], centre: PlanePoint, noise: float) -> _Plane:
    """Give a plane that holds all spots and the disc of noise about a centre."""
    spots = [*spots, *((centre.a + s * noise, centre.b + s * noise) for s in (-1, 1))]
    middle = [(min(v) + max(v)) / 2 for v in zip(*spots, strict=True)]
    reach = max(max(abs(v - m) for spot in spots for v, m in zip(spot, middle, strict=True)), 2.0) * 1.2
    across, up = (alt.Scale(domain=[m - reach, m + reach], nice=False, zero=False) for m in middle)
    ticks = alt.Axis(tickCount=6)
    return _Plane(
        alt.X("a:Q", title="← greener · a* · redder →", scale=across, axis=ticks),
        alt.Y("b:Q", title="← bluer · b* · yellower →", scale=up, axis=ticks),
        reach,
    )


def _disc(centre: PlanePoint, noise: float, plane: _Plane, width: Width) -> alt.Chart:
    diameter = noise / plane.reach * _side(width)
    chart: alt.Chart = (
        alt.Chart(alt.Data(values=[{"a": centre.a, "b": centre.b}]))
        .mark_point(filled=True, color=NOISE, opacity=0.7, size=diameter**2, strokeWidth=0, clip=True)
        .encode(x=plane.x, y=plane.y)
    )
    return chart


def _arrow(present: PlanePoint, aim: PlanePoint, plane: _Plane) -> list[alt.Chart]:
    """Give the shaft and the two barbs of an arrow, as lines."""
    da, db = aim.a - present.a, aim.b - present.b
    barbs = [(aim.a - 0.18 * (da + s * 0.5 * db), aim.b - 0.18 * (db - s * 0.5 * da)) for s in (1, -1)]
    strokes = [[(present.a, present.b), (aim.a, aim.b)], [barbs[0], (aim.a, aim.b), barbs[1]]]
    return [
        alt.Chart(alt.Data(values=[{"a": a, "b": b, "order": i} for i, (a, b) in enumerate(stroke)]))
        .mark_line(color=INK, strokeWidth=2)
        .encode(x=plane.x, y=plane.y, order="order:Q")
        for stroke in strokes
    ]
