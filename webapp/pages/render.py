"""Templates, and how numbers and colours are written in them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

import numpy as np
from fastapi import Request
from fastapi.responses import HTMLResponse
from fastapi.templating import Jinja2Templates

from webapp.colorimetry.encodings import Floats, encode_srgb
from webapp.colorimetry.lab import lab_to_linear
from webapp.settings import ROOT

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def plain_day(day: date) -> str:
    """Write a date as 4 Mar 2026."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def plain_month(day: date) -> str:
    """Write the month of a date as Mar 2026."""
    return f"{_MONTHS[day.month - 1]} {day.year}"


def number(value: float, digits: int = 1) -> str:
    """Write a number with a true minus sign."""
    text = f"{value:.{digits}f}"
    return text.lstrip("-") if float(text) == 0 else text.replace("-", "−")


def signed(value: float, digits: int = 1) -> str:
    """Write a number with its sign, always."""
    text = f"{value:+.{digits}f}"
    return text[1:] if float(text) == 0 else text.replace("-", "−")


def hex_colour(lab: Floats | Sequence[float]) -> str:
    """Give the nearest sRGB colour of a (3,) CIELAB colour, as #rrggbb."""
    codes = np.round(encode_srgb(np.clip(lab_to_linear(np.asarray(lab, dtype=float)), 0, 1)) * 255).astype(int)
    return "#{:02x}{:02x}{:02x}".format(*codes)


def _pairs(words: Sequence[str]) -> list[tuple[str, str]]:
    """Give words as the (value, text) pairs of a list to choose from."""
    return [(word, word) for word in words]


_templates = Jinja2Templates(ROOT / "templates")
_templates.env.trim_blocks = _templates.env.lstrip_blocks = True
_templates.env.filters |= {
    "day": plain_day,
    "month": plain_month,
    "number": number,
    "signed": signed,
    "hex": hex_colour,
    "pairs": _pairs,
}


def page(request: Request, template: str, status: int = 200, **values: Any) -> HTMLResponse:
    """Render a template."""
    settings = request.app.state.settings
    return _templates.TemplateResponse(
        request, template, {"demo": settings.demo, "today": date.today(), **values}, status_code=status
    )
