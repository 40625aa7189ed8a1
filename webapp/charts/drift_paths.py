"""Small multiples: how the clients of each group drift, side by side on the same axes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import altair as alt

from webapp.charts.style import INK, NOISE, QUIET, Width, to_svg

MOST_LINES = 40
"""Clients drawn in one panel; more would be one grey."""
_STEPS = 6
"""Straight pieces that a path is drawn in."""
_PANELS: dict[Width, tuple[int, int]] = {"narrow": (1, 290), "wide": (3, 190)}
"""Panels beside one another, and the width of one."""


@dataclass(frozen=True)
class GroupPaths:
    """One group: label, each client's (rate per year, months observed), the pooled rate per year with its interval
    where there is one, and whether too few clients stand behind it."""

    label: str
    clients: Sequence[tuple[float, float]]
    per_year: float
    interval: tuple[float, float] | None
    too_few: bool


def drift_paths_chart(
    groups: Sequence[GroupPaths], title: str, width: Width, shown: Callable[[float], float] = float
) -> str:
    """Chart one panel a group: thin lines the clients, the thick line their mean, the band its 95 % interval.

    `shown` makes a rate times years the value that is drawn, as for a decay, whose paths are curves.
    """
    thinned = [_thinned(g) for g in groups]
    end = max([months for g in thinned for _, months in g.clients] + [12.0])
    low, high = _reach([shown(rate * months / 12) for g in thinned for rate, months in g.clients])
    columns, side = _PANELS[width]
    x = alt.X(
        "months:Q",
        title="months since the baseline",
        scale=alt.Scale(domain=[0, end], nice=False),
        axis=alt.Axis(tickCount=4, grid=False),
    )
    scale = alt.Scale(domain=[low, high], nice=False)
    y = alt.Y("value:Q", title=None, scale=scale, axis=alt.Axis(tickCount=4))
    panels = []
    for group in thinned:
        grey = QUIET if group.too_few else INK
        lines = [
            {"client": i, "months": m, "value": shown(rate * m / 12)}
            for i, (rate, months) in enumerate(group.clients)
            for m in _along(months)
        ]
        thin = (
            alt.Chart(alt.Data(values=lines))
            .mark_line(color=QUIET, strokeWidth=0.7, opacity=0.55, clip=True)
            .encode(x=x, y=y, detail="client:N")
        )
        mean = [{"months": m, "value": shown(group.per_year * m / 12)} for m in _along(end)]
        thick = (
            alt.Chart(alt.Data(values=mean))
            .mark_line(color=grey, strokeWidth=2.6, strokeDash=[5, 4] if group.too_few else [1, 0], clip=True)
            .encode(x=x, y=y)
        )
        layers: list[alt.Chart] = [thin, thick]
        if group.interval is not None and not group.too_few:
            lower, upper = group.interval
            band = [{"months": m, "low": shown(lower * m / 12), "high": shown(upper * m / 12)} for m in _along(end)]
            layers.insert(
                0,
                alt.Chart(alt.Data(values=band))
                .mark_area(color=NOISE, opacity=0.8, clip=True)
                .encode(x=x, y=alt.Y("low:Q", scale=scale, title=None), y2="high:Q"),
            )
        name = alt.TitleParams(group.label, anchor="start", color=grey)
        panels.append(alt.layer(*layers).properties(width=side, height=150, title=name))
    chart = alt.concat(*panels, columns=columns, spacing=18).properties(title=alt.TitleParams(title, anchor="start"))
    return to_svg(chart, width)


def _along(months: float) -> list[float]:
    return [months * i / _STEPS for i in range(_STEPS + 1)]


def _reach(ends: Sequence[float]) -> tuple[float, float]:
    """Give the value axis: zero, and the ends of the paths but for the furthest few."""
    ordered = sorted(ends)
    low, high = ordered[int(0.03 * (len(ordered) - 1))], ordered[-1 - int(0.03 * (len(ordered) - 1))]
    margin = max(0.15 * (max(high, 0.0) - min(low, 0.0)), 0.25)
    return min(low, 0.0) - margin, max(high, 0.0) + margin


def _thinned(group: GroupPaths) -> GroupPaths:
    """Give the group with at most MOST_LINES clients, spread evenly over them by their rates."""
    if len(group.clients) <= MOST_LINES:
        return group
    ordered = sorted(group.clients)
    step = (len(ordered) - 1) / (MOST_LINES - 1)
    return GroupPaths(
        group.label,
        [ordered[round(i * step)] for i in range(MOST_LINES)],
        group.per_year,
        group.interval,
        group.too_few,
    )
