"""A colour that the artist gives: as L*, a*, b*, or picked on the screen."""

from __future__ import annotations

import re

import numpy as np

from webapp.colorimetry.encodings import Floats, decode_srgb
from webapp.colorimetry.lab import linear_to_lab
from webapp.pages.form import Form


def read_colour(form: Form) -> Floats | None:
    """Read the fields L, a, b, or "colour" where those are empty; None, with an error in the form, where it is none."""
    if any(form[name].strip() for name in ("L", "a", "b")):
        values = [form.number("L", 0, 100), form.number("a", -80, 80), form.number("b", -80, 80)]
        return None if form.errors else np.array(values)
    if re.fullmatch(r"#[0-9a-fA-F]{6}", form["colour"].strip()):
        code = form["colour"].strip()
        return linear_to_lab(decode_srgb(np.array([int(code[i : i + 2], 16) for i in (1, 3, 5)]) / 255))
    form.errors["colour"] = "Pick a colour, or give its L*, a* and b*."
    return None
