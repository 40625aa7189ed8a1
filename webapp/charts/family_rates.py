"""The chart that compares pigment families."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from webapp.charts.style import INK, QUIET, WIDTHS, Width, to_svg


@dataclass(frozen=True)
class FamilyRate:
    """One family's rate per year, its interval where there is one, and whether few clients stand behind it."""

    family: str
    per_year: float
    interval: tuple[float, float] | None
    too_few: bool


def family_rates_chart(rates: Sequence[FamilyRate], title: str, width: Width) -> str:
    """Chart one rate per family with its 95 % interval; hollow where too few clients stand behind it."""
    rows = [
        {
            "family": r.family,
            "rate": r.per_year,
            "low": (r.interval or (r.per_year,) * 2)[0],
            "high": (r.interval or (r.per_year,) * 2)[1],
            "fill": "#00000000" if r.too_few else INK,
        }
        for r in rates
    ]
    bound = max([abs(v) for r in rates for v in (r.per_year, *(r.interval or ()))] + [1e-3])
    # An interval from two works can be wider than anything one wants to see; it is cut at the plot's edge.
    reach = min(bound, 6 * max(max(abs(r.per_year) for r in rates), 1e-3)) * 1.1
    scale = alt.Scale(domain=[-reach, reach], nice=False)
    x = alt.X("rate:Q", title=title, scale=scale, axis=alt.Axis(tickCount=6))
    y = alt.Y("family:N", title=None, axis=alt.Axis(domain=False, ticks=False, labelPadding=8))
    base = alt.Chart(alt.Data(values=rows))
    zero = alt.Chart(alt.Data(values=[{"rate": 0}])).mark_rule(color=QUIET).encode(x=x)
    bars = base.mark_rule(color=INK, clip=True).encode(x=alt.X("low:Q", scale=scale), x2="high:Q", y=y)
    dots = base.mark_point(size=120, filled=False, stroke=INK, opacity=1).encode(
        x=x, y=y, fill=alt.Fill("fill:N", scale=None, legend=None)
    )
    chart = alt.layer(zero, bars, dots).properties(width=WIDTHS[width] - 60, height=46 * len(rows))
    return to_svg(chart, width)
