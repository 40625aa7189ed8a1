"""What all charts share: neutral paper, quiet axes, two widths, and the way to SVG."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import altair as alt
import vl_convert

Width = Literal["narrow", "wide"]
WIDTHS: dict[Width, int] = {"narrow": 300, "wide": 500}
"""Plot widths in pixels: one for a phone, one for everything wider."""

PAPER = "#e6e6e6"
INK = "#1c1c1c"
QUIET = "#5c5c5c"
GRID = "#cfcfcf"
NOISE = "#c2c2c2"
_FONT = "system-ui, 'DejaVu Sans', sans-serif"


@dataclass(frozen=True)
class ChartPoint:
    """One reading on a chart: where in time, what, how sure, and the colour it was measured to have."""

    months: float
    value: float
    sd: float
    state: str
    colour: str
    label: str


def to_svg(chart: alt.TopLevelMixin, width: Width) -> str:
    """Render a chart on neutral paper at one of the two widths."""
    size = {"narrow": 11, "wide": 12}[width]
    axis: dict[str, Any] = {
        "labelFont": _FONT,
        "titleFont": _FONT,
        "labelFontSize": size,
        "titleFontSize": size,
        "titleFontWeight": "normal",
        "labelColor": INK,
        "titleColor": INK,
        "gridColor": GRID,
        "domainColor": QUIET,
        "tickColor": QUIET,
    }
    spec = chart.to_dict()
    spec["background"] = PAPER
    spec["config"] = {
        "view": {"stroke": None},
        "axis": axis,
        "title": {"font": _FONT, "fontSize": size, "fontWeight": "normal", "color": INK},
        "text": {"font": _FONT, "fontSize": size, "color": INK},
        "padding": 6,
    }
    return str(vl_convert.vegalite_to_svg(spec))


def months_axis(end: float) -> alt.X:
    """Give the x axis in months since the session, from 0 to `end`."""
    step = next(s for s in (1, 2, 3, 6, 12, 24, 60) if end / s <= 9 or s == 60)
    return alt.X(
        "months:Q",
        title="months since the session",
        scale=alt.Scale(domain=[0, end], nice=False),
        axis=alt.Axis(values=list(range(0, int(end) + 1, step)), grid=False),
    )
