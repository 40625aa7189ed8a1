"""The almanac's own printed card: where everything on it lies, and how it is drawn.

A strip of paper, 85 × 25 mm, laid beside the brow. Between two codes that name it and fix its geometry lie six
neutral steps; a millimetre scale runs along the lower edge, and a bar above the steps is 40 mm long if the printer
kept to 100 %. Positions are in pixels of the drawing at 300 dots per inch, x to the right, y down, pixel edges at
whole numbers; MM_PER_PIXEL takes them to millimetres.
"""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass
from typing import Literal

import numpy as np
import segno
from PIL import Image, ImageDraw, ImageFont

from webapp.colorimetry.encodings import Floats, decode_srgb, encode_srgb
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab

DPI = 300
MM_PER_PIXEL = 25.4 / DPI
WIDTH, HEIGHT = 1004, 295
"""Pixels of the whole card: 85.0 × 25.0 mm."""

LIGHTNESS = (95.0, 81.0, 67.0, 53.0, 39.0, 25.0)
"""L* aimed at, even steps of 14. 95 is about bare paper and still stays below what a camera cuts off; 25 is about as
dark as black ink gets on matt paper, where a darker step would come out the same. Skin and brow lie between."""
STUDIO_ID = "STRIP1"
"""The id of the strips on the print page. Six letters leave the codes their strongest error correction."""
ID_AT_MOST = 16

End = Literal["A", "B"]
"""A is the end beside the lightest step, B the one beside the darkest."""
ENDS: tuple[End, End] = ("A", "B")
_PREFIX = "HCA"
_TEXT = re.compile(rf"{_PREFIX}([AB])([A-Z0-9-]{{1,{ID_AT_MOST}}})")

_MODULE = 10
"""Pixels of one module of a code, 0.85 mm: 3.4 photo pixels at 40 a centimetre, which can be read a little blurred.
The same 21 modules hold any id; smaller symbols (Micro QR) were read less often, because they have one finder."""
_CODE = 21 * _MODULE
_TOP = 22
_CODE_LEFT: dict[End, int] = {"A": 24, "B": WIDTH - 24 - _CODE}
_STEPS_LEFT, _STEP_WIDTH, _STEP_BOTTOM = 256, 82, 172
_BAR_MM = 40
_WORDS = (
    "print at 100 % on matt paper, black ink only",
    "uncalibrated print: for drift, not for absolute colour",
)


class CardIdUnusable(ValueError):
    """The id cannot go on a card; the message is a sentence."""


@dataclass(frozen=True)
class Step:
    """One neutral step: its corners (4, 2) in pixels of the drawing, its grey code value, its nominal CIELAB (3,)."""

    corners: Floats
    code: int
    lab: Floats


@dataclass(frozen=True)
class Code:
    """One code: the end it marks, the text in it, its corners (4, 2) in pixels: top left, then clockwise."""

    end: End
    text: str
    corners: Floats


@dataclass(frozen=True)
class PrintedCard:
    """What is where on the card of one id."""

    id: str
    steps: tuple[Step, ...]
    codes: tuple[Code, Code]


def printed_card(card_id: str) -> PrintedCard:
    """Give the card of an id: 1 to 16 letters A to Z, digits and hyphens, small letters taken as capitals.

    Raises CardIdUnusable for any other.
    """
    name = card_id.upper()
    if not re.fullmatch(rf"[A-Z0-9-]{{1,{ID_AT_MOST}}}", name):
        raise CardIdUnusable(
            f"A card's id is 1 to {ID_AT_MOST} letters A to Z, digits and hyphens, which {card_id!r} is not."
        )
    first, second = (
        Code(end, f"{_PREFIX}{end}{name}", _box(_CODE_LEFT[end], _TOP, _CODE_LEFT[end] + _CODE, _TOP + _CODE))
        for end in ENDS
    )
    return PrintedCard(name, _steps(), (first, second))


def random_id() -> str:
    """Give a new id of six letters and digits, without those that are easily taken for another."""
    return "".join(secrets.choice("ABCDEFGHJKMNPQRSTUVWXYZ23456789") for _ in range(6))


def read_code_text(text: str) -> tuple[End, str] | None:
    """Give the end and the id that a code's text names; None for anyone else's code."""
    found = _TEXT.fullmatch(text)
    if found is None:
        return None
    return ("A" if found[1] == "A" else "B"), found[2]


def _steps() -> tuple[Step, ...]:
    steps = []
    for i, lightness in enumerate(LIGHTNESS):
        code = round(float(encode_srgb(lab_to_linear(np.array([lightness, 0.0, 0.0]))).mean()) * 255)
        left = _STEPS_LEFT + i * _STEP_WIDTH
        # The nominal colour is that of the whole code value which is drawn, not the one aimed at.
        lab = np.round(linear_to_lab(decode_srgb(np.full(3, code / 255))), 2) + 0.0
        steps.append(Step(_box(left, _TOP, left + _STEP_WIDTH, _STEP_BOTTOM), code, lab))
    return tuple(steps)


def _box(left: float, top: float, right: float, bottom: float) -> Floats:
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]], dtype=float)


def draw_card(card: PrintedCard) -> Image.Image:
    """Draw a card: WIDTH × HEIGHT, 8-bit grey, at DPI."""
    image = Image.new("L", (WIDTH, HEIGHT), 255)
    draw = ImageDraw.Draw(image)
    for step in card.steps:
        _fill(draw, step.corners, step.code)
    for code in card.codes:
        symbol = segno.make_qr(code.text, version=1)
        cells = np.array([[0 if dark else 255 for dark in row] for row in symbol.matrix], dtype=np.uint8)
        drawn = np.kron(cells, np.ones((_MODULE, _MODULE), dtype=np.uint8))
        image.paste(Image.fromarray(drawn), (int(code.corners[0, 0]), int(code.corners[0, 1])))
    _draw_bar(draw)
    _draw_scale(draw)
    _write(draw, (*_WORDS, f"bar above the greys: {_BAR_MM} mm at 100 %      {card.id}"))
    return image


def _fill(draw: ImageDraw.ImageDraw, corners: Floats, code: int) -> None:
    left, top, right, bottom = (int(v) for v in (*corners[0], *corners[2]))
    draw.rectangle((left, top, right - 1, bottom - 1), fill=code)


def _draw_bar(draw: ImageDraw.ImageDraw) -> None:
    """Draw the bar that shows whether the print is true to size: its outer ends are 40 mm apart."""
    length = round(_BAR_MM / MM_PER_PIXEL)
    left = (WIDTH - length) // 2
    right = left + length - 1
    draw.rectangle((left, 9, right, 10), fill=0)
    for x in (left, right - 2):
        draw.rectangle((x, 4, x + 2, 15), fill=0)


def _draw_scale(draw: ImageDraw.ImageDraw) -> None:
    """Draw the millimetre scale along the lower edge, from 0 to 80, longer at 5, numbered at 10."""
    zero = (WIDTH - 80 / MM_PER_PIXEL) / 2
    for mm in range(81):
        x = round(zero + mm / MM_PER_PIXEL)
        length = 20 if mm % 10 == 0 else 14 if mm % 5 == 0 else 8
        draw.rectangle((x - 1, HEIGHT - length, x, HEIGHT - 1), fill=0)
        if mm % 10 == 0:
            draw.text((x, HEIGHT - 31), f"{mm} mm" if mm == 0 else str(mm), fill=0, font=_font(16), anchor="mm")


def _write(draw: ImageDraw.ImageDraw, lines: tuple[str, ...]) -> None:
    for i, line in enumerate(lines):
        draw.text((WIDTH / 2, _STEP_BOTTOM + 16 + 21 * i), line, fill=0, font=_font(19), anchor="mm")


def _font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size)
