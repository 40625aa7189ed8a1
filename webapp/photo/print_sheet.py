"""A sheet of printed cards as a PDF whose millimetres are true when it is printed at 100 %."""

from __future__ import annotations

import io
from typing import Literal

from PIL import Image, ImageDraw

from webapp.photo.printed_card import DPI, HEIGHT, MM_PER_PIXEL, WIDTH, PrintedCard, draw_card

Paper = Literal["a4", "letter"]
PAPERS_MM: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height. Sources: ISO 216; ANSI Y14.1."""

_MARGIN_MM = 12.0
"""What every printer leaves free of ink at most, and a little more."""
_GAP_MM = 6.0
_LINE = 170
_JPEG_QUALITY = 95


def draw_sheet(card: PrintedCard, paper: Paper) -> bytes:
    """Give a one-page PDF of a paper's size, as many cards on it as fit, thin cutting lines at their edges."""
    width, height = (round(mm / MM_PER_PIXEL) for mm in PAPERS_MM[paper])
    margin, gap = (round(mm / MM_PER_PIXEL) for mm in (_MARGIN_MM, _GAP_MM))
    across, down = ((n - 2 * margin + gap) // (size + gap) for n, size in ((width, WIDTH), (height, HEIGHT)))
    left = (width - across * (WIDTH + gap) + gap) // 2
    top = (height - down * (HEIGHT + gap) + gap) // 2
    sheet = Image.new("L", (width, height), 255)
    draw = ImageDraw.Draw(sheet)
    drawn = draw_card(card)
    for row in range(down):
        for column in range(across):
            x, y = left + column * (WIDTH + gap), top + row * (HEIGHT + gap)
            sheet.paste(drawn, (x, y))
            # The line lies outside the card, so that nothing dark is left at its edge once it is cut out.
            draw.rectangle((x - 2, y - 2, x + WIDTH + 1, y + HEIGHT + 1), outline=_LINE, width=1)
    buffer = io.BytesIO()
    sheet.save(buffer, "PDF", resolution=DPI, quality=_JPEG_QUALITY, title="Printed card strips")
    return buffer.getvalue()


def cards_on(paper: Paper) -> int:
    """Give how many cards a sheet holds."""
    width, height = PAPERS_MM[paper]
    across, down = (
        int((length - 2 * _MARGIN_MM + _GAP_MM) // (size * MM_PER_PIXEL + _GAP_MM))
        for length, size in ((width, WIDTH), (height, HEIGHT))
    )
    return across * down
