"""The client's sheet as one A4 page of SVG, which becomes a PDF: real text, photos as they are, the chart in lines."""

from __future__ import annotations

import base64
import re
from collections.abc import Sequence
from html import escape

import vl_convert

from webapp.pages.render import hex_colour, plain_day
from webapp.pages.sheet import Sheet
from webapp.pages.sheet_words import CHART
from webapp.pages.text_width import FACE, broken

_WIDTH, _HEIGHT, _EDGE, _GAP = 595.0, 842.0, 42.0, 22.0
_COLUMN = (_WIDTH - 2 * _EDGE - _GAP) / 2
_SIZE, _LEADING = 9.6, 1.36
_SMALLEST = 0.5
_NO_SIGN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML 1.0 (section 2.2) has no place for."""
FOOTER = (
    "Made with a record-keeping and colour tool, no medical device; it diagnoses nothing. Each photo is balanced on "
    "the grey card in it, in the same way."
)


class _Page:
    """Puts text, pictures and patches on the page from the top down, all text at one scale."""

    def __init__(self, scale: float) -> None:
        self.size = _SIZE * scale
        self.parts: list[str] = []

    def text(self, x: float, y: float, words: str, width: float, factor: float = 1.0, bold: bool = False) -> float:
        """Write a text from y downwards; give the y below it."""
        size = self.size * factor
        for line in broken(_NO_SIGN.sub(" ", words), size, width, bold):
            y += size * _LEADING
            weight = ' font-weight="700"' if bold else ""
            self.parts.append(
                f'<text x="{x:.2f}" y="{y - size * 0.3:.2f}" font-size="{size:.2f}"{weight}>{escape(line)}</text>'
            )
        return y

    def section(self, x: float, y: float, width: float, title: str, lines: Sequence[str]) -> float:
        """Write a heading and its sentences; give the y below them."""
        y = self.text(x, y + self.size * 0.7, title, width, 1.15, bold=True)
        for line in lines:
            y = self.text(x, y + self.size * 0.12, line, width)
        return y


def sheet_svg(sheet: Sheet, pictures: Sequence[bytes], chart: str | None) -> str:
    """Lay a sheet out on one page, the text as large as fits. `pictures` are JPEGs, `chart` a whole SVG."""
    scale = 1.0
    page, bottom = _laid_out(sheet, pictures, chart, scale)
    while bottom > _HEIGHT - _EDGE and scale > _SMALLEST:
        scale *= 0.96
        page, bottom = _laid_out(sheet, pictures, chart, scale)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH:g}" height="{_HEIGHT:g}" '
        f'viewBox="0 0 {_WIDTH:g} {_HEIGHT:g}" font-family="{FACE}" fill="#1c1c1c">'
        f'<rect width="{_WIDTH:g}" height="{_HEIGHT:g}" fill="#fff"/>{"".join(page.parts)}</svg>'
    )


def sheet_pdf(sheet: Sheet, pictures: Sequence[bytes], chart: str | None) -> bytes:
    """Give the page as a PDF."""
    return bytes(vl_convert.svg_to_pdf(sheet_svg(sheet, pictures, chart)))


def _laid_out(sheet: Sheet, pictures: Sequence[bytes], chart: str | None, scale: float) -> tuple[_Page, float]:
    page, whole = _Page(scale), _WIDTH - 2 * _EDGE
    left, right = _EDGE, _EDGE + _COLUMN + _GAP
    y = page.text(left, _EDGE - 8, f"{sheet.alias}, {sheet.site}", whole, 1.9, bold=True)
    y = page.text(left, y, f"How it healed. Made on {plain_day(sheet.made_on)}.", whole) + 8
    if sheet.photos:
        y = _photos(page, sheet, pictures, y)
    done = page.section(left, y, _COLUMN, "What was done", sheet.done)
    done = page.section(left, done, _COLUMN, "The pigment", sheet.pigments)
    told = page.section(right, y, _COLUMN, "How the colour moved", [sheet.moved])
    if chart is not None:
        told = page.text(right, _chart(page, chart, right, told + 4), CHART, _COLUMN, 0.85)
    y = max(done, told)
    y = page.section(left, y, whole, "What such pigments tend to do", [sheet.tends, sheet.tends_source])
    y = page.section(left, y, whole, "Good to know", sheet.cautions)
    y = page.section(left, y, whole, "What you agreed to", sheet.consents)
    return page, page.text(left, y + page.size, FOOTER, whole, 0.85)


def _photos(page: _Page, sheet: Sheet, pictures: Sequence[bytes], y: float) -> float:
    height = _COLUMN / 2
    for i, (photo, picture) in enumerate(zip(sheet.photos, pictures, strict=True)):
        x = _EDGE + i * (_COLUMN + _GAP)
        told = base64.b64encode(picture).decode()
        page.parts.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{_COLUMN:.1f}" height="{height:.1f}" fill="#b8b8b8"/>'
            f'<image x="{x:.1f}" y="{y:.1f}" width="{_COLUMN:.1f}" height="{height:.1f}" '
            f'preserveAspectRatio="xMidYMid meet" href="data:image/jpeg;base64,{told}"/>'
            f'<rect x="{x:.1f}" y="{y + height + 3:.1f}" width="34" height="12" fill="{hex_colour(photo.lab)}"/>'
        )
        page.text(x + 40, y + height + 1, photo.words, _COLUMN - 40, 0.95)
    return y + height + 17


def _chart(page: _Page, chart: str, x: float, y: float) -> float:
    """Set a chart to the width of a column; give the y below it."""
    size = re.search(r'<svg[^>]*?\swidth="([\d.]+)"[^>]*?\sheight="([\d.]+)"', chart)
    if size is None:
        return y
    scale = _COLUMN / float(size[1])
    page.parts.append(
        f'<g transform="translate({x:.1f} {y:.1f}) scale({scale:.4f})">{chart[chart.index("<svg") :]}</g>'
    )
    return y + float(size[2]) * scale
