"""The hue ring: which way a colour would have to go, against the hues of CIELAB itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt
import numpy as np

from webapp.charts.style import GRID, INK, NOISE, PAPER, QUIET, WIDTHS, Width, to_svg
from webapp.colorimetry.encodings import Floats, encode_srgb
from webapp.colorimetry.lab import lab_to_linear

_SEGMENTS = 72
_MOST_CHROMA = 32.0
_INNER, _OUTER = 0.74, 0.90
"""The ring's edges as shares of half the chart's side; words stand outside, the arrow within."""


@dataclass(frozen=True)
class RingEnd:
    """One end of the arrow: its (3,) CIELAB, and the word to write beside it."""

    lab: Floats
    label: str


def ring_chroma(lightness: float) -> float:
    """Give the greatest chroma, 32 at most, that the screen can show at a lightness in every hue."""
    for chroma in np.arange(_MOST_CHROMA, 0, -0.5):
        light = lab_to_linear(_ring(lightness, float(chroma)))
        if light.min() >= 0 and light.max() <= 1:
            return float(chroma)
    return 0.0


def hue_ring_chart(present: RingEnd, aim: RingEnd, noise: float, words: Sequence[str], width: Width) -> str:
    """Chart the step from a present colour, in the middle, to the aim, as an arrow in the a*b* plane.

    Around it lie the hues of CIELAB at the present colour's lightness, red (+a*) to the right and yellow (+b*)
    upwards, named by `words`, evenly from +a* on. The disc is what noise of radius `noise` can do about the middle.
    """
    da, db = (float(x) for x in (aim.lab - present.lab)[1:])
    length = float(np.hypot(da, db))
    reach = max(length * 1.35, noise * 1.3, 4.0)
    radii = _circles(reach)
    side = _side(width)
    unit = _INNER * 0.97 / reach  # of a*b*, in shares of half the side
    plane = alt.Scale(domain=[-1, 1], nice=False)
    x, y = (alt.X("x:Q", scale=plane, axis=None), alt.Y("y:Q", scale=plane, axis=None))

    layers = [_hues(float(present.lab[0]), side), _circle(noise * unit, side, filled=True)]
    layers += [_circle(r * unit, side) for r in radii]
    # The scale's figures stand on a diagonal that the arrow does not take.
    sx, sy = (-0.7071 if d >= 0 else 0.7071 for d in (da, db))
    figures = [{"x": sx * r * unit, "y": sy * r * unit, "text": f"{r:g}"} for r in radii]
    layers += [_words(figures, x, y, QUIET, side * 0.03)]
    tip = (da * unit, db * unit)
    layers += [_stroke(points, x, y) for points in _arrow(*tip)]
    layers += [_dot((0.0, 0.0), present.lab, x, y), _dot(tip, aim.lab, x, y)]
    # The words stand on the far sides of the arrow, where it does not run.
    up = 1 if db >= 0 else -1
    ends = [(0.0, -0.11 * up, present.label), (tip[0], tip[1] + 0.11 * up, aim.label)]
    layers += [_words([{"x": a, "y": b, "text": text} for a, b, text in ends], x, y, INK, side * 0.035)]
    angles = np.arange(len(words)) * 2 * np.pi / len(words)
    around: list[dict[str, Any]] = [
        {"x": 0.955 * float(np.cos(t)), "y": 0.955 * float(np.sin(t)), "text": w, "turn": _readable(float(t))}
        for t, w in zip(angles, words, strict=True)
    ]
    layers += [
        alt.Chart(alt.Data(values=[spot]))
        .mark_text(angle=spot["turn"], fontSize=side * 0.035, color=INK)
        .encode(x=x, y=y, text="text:N")
        for spot in around
    ]
    return to_svg(alt.layer(*layers).properties(width=side, height=side), width)


def _side(width: Width) -> int:
    return min(WIDTHS[width], 360)


def _ring(lightness: float, chroma: float) -> Floats:
    angles = (np.arange(_SEGMENTS) + 0.5) * 2 * np.pi / _SEGMENTS
    return np.column_stack([np.full(_SEGMENTS, lightness), chroma * np.cos(angles), chroma * np.sin(angles)])


def _hex(lab: Floats) -> str:
    codes = np.round(encode_srgb(np.clip(lab_to_linear(lab), 0, 1)) * 255).astype(int)
    return "#{:02x}{:02x}{:02x}".format(*codes)


@dataclass(frozen=True)
class Segment:
    """A piece of the ring: its colour as #rrggbb, and where it lies, in radians clockwise from the top."""

    colour: str
    start: float
    end: float


def ring_segments(lightness: float) -> tuple[Segment, ...]:
    """Give the ring's pieces. The plane counts counter-clockwise from the right, the drawing clockwise from the top."""
    turn = 2 * np.pi / _SEGMENTS
    return tuple(
        Segment(_hex(lab), np.pi / 2 - (i + 1) * turn, np.pi / 2 - i * turn)
        for i, lab in enumerate(_ring(lightness, ring_chroma(lightness)))
    )


def _hues(lightness: float, side: int) -> alt.Chart:
    overlap = 0.004  # so that no seam shows between pieces
    rows = [{"start": s.start, "end": s.end + overlap, "fill": s.colour} for s in ring_segments(lightness)]
    chart: alt.Chart = (
        alt.Chart(alt.Data(values=rows))
        .mark_arc(innerRadius=_INNER * side / 2, outerRadius=_OUTER * side / 2, strokeWidth=0)
        .encode(
            theta=alt.Theta("start:Q", scale=None, stack=None),
            theta2="end:Q",
            fill=alt.Fill("fill:N", scale=None, legend=None),
        )
    )
    return chart


def _circle(radius: float, side: int, filled: bool = False) -> alt.Chart:
    size = radius * side / 2
    whole: dict[str, Any] = {"theta": 0, "theta2": 2 * np.pi, "outerRadius": size}
    look: dict[str, Any] = (
        {"fill": NOISE, "strokeOpacity": 0} if filled else {"fillOpacity": 0, "stroke": GRID, "strokeWidth": 1}
    )
    chart: alt.Chart = alt.Chart(alt.Data(values=[{}])).mark_arc(**whole, **look)
    return chart


def _stroke(points: Sequence[tuple[float, float]], x: alt.X, y: alt.Y) -> alt.Chart:
    rows = [{"x": a, "y": b, "order": i} for i, (a, b) in enumerate(points)]
    chart: alt.Chart = (
        alt.Chart(alt.Data(values=rows)).mark_line(color=INK, strokeWidth=2).encode(x=x, y=y, order="order:Q")
    )
    return chart


def _arrow(dx: float, dy: float) -> list[list[tuple[float, float]]]:
    """The shaft, and the head halfway along it, so that neither end's dot hides it."""
    length = max(float(np.hypot(dx, dy)), 1e-6)
    ux, uy = dx / length, dy / length
    head = min(0.09, 0.4 * length)
    mx, my = 0.58 * dx, 0.58 * dy
    barbs = [(mx - head * (ux + s * 0.55 * uy), my - head * (uy - s * 0.55 * ux)) for s in (1, -1)]
    return [[(0.0, 0.0), (dx, dy)], [barbs[0], (mx, my), barbs[1]]]


def _dot(at: tuple[float, float], lab: Floats, x: alt.X, y: alt.Y) -> alt.Chart:
    chart: alt.Chart = (
        alt.Chart(alt.Data(values=[{"x": at[0], "y": at[1]}]))
        .mark_point(filled=True, size=210, opacity=1, fill=_hex(lab), stroke=PAPER, strokeWidth=2)
        .encode(x=x, y=y)
    )
    return chart


def _words(rows: Sequence[dict[str, object]], x: alt.X, y: alt.Y, colour: str, size: float) -> alt.Chart:
    chart: alt.Chart = (
        alt.Chart(alt.Data(values=list(rows)))
        .mark_text(color=colour, fontSize=max(size, 10), stroke=PAPER, strokeWidth=0)
        .encode(x=x, y=y, text="text:N")
    )
    return chart


def _circles(reach: float) -> list[float]:
    step = next(s for s in (1.0, 2.0, 5.0, 10.0, 20.0, 50.0) if reach / s <= 4 or s == 50.0)
    return [step * i for i in range(1, int(reach / step) + 1)]


def _readable(angle: float) -> float:
    """The turn, in degrees clockwise, of a word that runs along the ring and never stands on its head."""
    turn = 90 - np.degrees(angle)
    turn = (turn + 180) % 360 - 180
    return float((turn - 180 if turn > 90 else turn + 180 if turn < -90 else turn) % 360)
