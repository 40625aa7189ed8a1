"""Small multiples: how the clients of each group drift, side by side on the same axes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from webapp.charts.style import INK, NOISE, QUIET, Width, to_svg

MOST_LINES = 40
"""Clients drawn in one panel; more would be one grey."""
_PANELS: dict[Width, tuple[int, int]] = {"narrow": (1, 290), "wide": (3, 190)}
"""Panels beside one another, and the width of one."""


@dataclass(frozen=True)
class GroupPaths:
    """One group: label, each client's (change per year, months observed), the pooled change per year with its interval
    where there is one, and whether too few clients stand behind it."""

    label: str
    clients: Sequence[tuple[float, float]]
    per_year: float
    interval: tuple[float, float] | None
    too_few: bool


def drift_paths_chart(groups: Sequence[GroupPaths], title: str, width: Width) -> str:
    """Chart one panel a group: thin lines the clients, the thick line their mean, the band its 95 % interval."""
    shown = [_thinned(g) for g in groups]
    end = max([months for g in shown for _, months in g.clients] + [12.0])
    ends = [abs(rate) * months / 12 for g in shown for rate, months in g.clients]
    reach = max(sorted(ends)[int(0.95 * (len(ends) - 1))] * 1.25, 0.5)
    columns, side = _PANELS[width]
    x = alt.X(
        "months:Q",
        title="months since the baseline",
        scale=alt.Scale(domain=[0, end], nice=False),
        axis=alt.Axis(tickCount=4, grid=False),
    )
    scale = alt.Scale(domain=[-reach, reach], nice=False)
    y = alt.Y("value:Q", title=None, scale=scale, axis=alt.Axis(tickCount=4))
    panels = []
    for group in shown:
        grey = QUIET if group.too_few else INK
        lines = [
            {"client": i, "months": m, "value": rate * m / 12}
            for i, (rate, months) in enumerate(group.clients)
            for m in (0.0, months)
        ]
        thin = (
            alt.Chart(alt.Data(values=lines))
            .mark_line(color=QUIET, strokeWidth=0.7, opacity=0.55, clip=True)
            .encode(x=x, y=y, detail="client:N")
        )
        mean = [{"months": m, "value": group.per_year * m / 12} for m in (0.0, end)]
        thick = (
            alt.Chart(alt.Data(values=mean))
            .mark_line(color=grey, strokeWidth=2.6, strokeDash=[5, 4] if group.too_few else [1, 0], clip=True)
            .encode(x=x, y=y)
        )
        layers: list[alt.Chart] = [thin, thick]
        if group.interval is not None and not group.too_few:
            low, high = group.interval
            band = [{"months": m, "low": low * m / 12, "high": high * m / 12} for m in (0.0, end)]
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
