"""Charts of one quantity against the months since the session."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

import altair as alt

from webapp.charts.style import INK, NOISE, QUIET, WIDTHS, ChartPoint, Width, months_axis, to_svg

_HEIGHT = 190


def delta_e_chart(points: Sequence[ChartPoint], limit: float, width: Width) -> str:
    """Chart ΔE00 against the baseline; the band below `limit` is what noise alone can do."""
    return _over_time(points, (0.0, limit), "difference from the baseline, ΔE00", width, from_zero=True)


def lightness_chart(points: Sequence[ChartPoint], limit: float, width: Width) -> str:
    """Chart the change of lightness L*; the band ± `limit` is what noise alone can do."""
    return _over_time(points, (-limit, limit), "← deeper · change of L* · lighter →", width)


def warmth_chart(points: Sequence[ChartPoint], faded: Sequence[tuple[float, float]], limit: float, width: Width) -> str:
    """Chart the change of warmth; the dashed line, (months, value), is what mere fading would have done."""
    return _over_time(points, (-limit, limit), "← cooler · change of warmth · warmer →", width, faded=faded)


def hue_chart(points: Sequence[ChartPoint], limit: float, width: Width) -> str:
    """Chart the turn of hue in degrees; the band ± `limit` is what noise alone can do."""
    return _over_time(points, (-limit, limit), "← redder · turn of hue, ° · yellower →", width)


def density_chart(
    points: Sequence[ChartPoint], curve: Sequence[tuple[float, float]], limit: float, width: Width
) -> str:
    """Chart the change of density; the dashed curve, (months, value), is the fading found."""
    return _over_time(points, (-limit, limit), "← fades · change of density · denser →", width, faded=curve, least=0.3)


def _over_time(
    points: Sequence[ChartPoint],
    band: tuple[float, float],
    title: str,
    width: Width,
    from_zero: bool = False,
    faded: Sequence[tuple[float, float]] = (),
    least: float = 1.0,
) -> str:
    end = max(max(p.months for p in points) * 1.05, 3.0)
    x = months_axis(end)
    reach = max([abs(p.value) + p.sd for p in points] + [abs(v) for _, v in faded] + [band[1], least]) * 1.08
    scale = alt.Scale(domain=[0 if from_zero else -reach, reach], nice=False)
    y = alt.Y("value:Q", title=title, scale=scale, axis=alt.Axis(tickCount=6))
    noise = (
        alt.Chart(alt.Data(values=[{"months": 0, "end": end, "value": band[0], "top": band[1]}]))
        .mark_rect(color=NOISE, opacity=0.7)
        .encode(x=x, x2="end:Q", y=y, y2="top:Q")
    )
    rows = [
        asdict(p)
        | {
            "low": max(p.value - p.sd, 0) if from_zero else p.value - p.sd,
            "high": p.value + p.sd,
            "fill": p.colour if p.state == "healed" else "#00000000",
            "edge": INK if p.state == "healed" else p.colour,
        }
        for p in points
    ]
    healed = alt.Chart(alt.Data(values=[r for r in rows if r["state"] == "healed"]))
    everything = alt.Chart(alt.Data(values=rows))
    line = healed.mark_line(color=QUIET, strokeWidth=1.2).encode(x=x, y=y)
    bars = everything.mark_rule(color=INK, strokeWidth=1).encode(x=x, y=alt.Y("low:Q", scale=scale), y2="high:Q")
    shape = alt.Shape(
        "state:N",
        scale=alt.Scale(domain=["healed", "healing", "set aside"], range=["circle", "circle", "cross"]),
        legend=None,
    )
    dots = everything.mark_point(size=130, opacity=1, strokeWidth=1.6, filled=False).encode(
        x=x,
        y=y,
        fill=alt.Fill("fill:N", scale=None, legend=None),
        stroke=alt.Stroke("edge:N", scale=None, legend=None),
        shape=shape,
    )
    layers = [noise, line, bars, dots]
    if faded:
        values = [{"months": m, "value": v} for m, v in faded]
        layers.insert(2, alt.Chart(alt.Data(values=values)).mark_line(color=QUIET, strokeDash=[4, 4]).encode(x=x, y=y))
    return to_svg(alt.layer(*layers).properties(width=WIDTHS[width], height=_HEIGHT), width)
