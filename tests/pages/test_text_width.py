import io

import numpy as np
import pytest
import vl_convert
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from tests.properties import numbers, steady
from webapp.pages.text_width import FACE, broken, text_width

SIZE = 60


def ink(text: str, bold: bool) -> float:
    """The width that the renderer really gives a text, between two upright bars that are taken off again."""
    weight = ' font-weight="700"' if bold else ""
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="3000" height="90"><rect width="3000" height="90" fill="#fff"/>'
        f'<text x="9" y="64" font-family="{FACE}" font-size="{SIZE}"{weight}>|{text}|</text></svg>'
    )
    pixels = np.asarray(Image.open(io.BytesIO(vl_convert.svg_to_png(svg))).convert("L"))
    dark = np.flatnonzero(pixels.min(axis=0) < 128)
    bar = np.flatnonzero(np.diff(dark) > 1)[0] + 1
    return float(dark[-1] - dark[0] - bar)


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "What was done",
        "titanium dioxide (white), CI 77891; 1234567890",
        "MMWW iill ffjj",
        "Änne, Ørstëd",
        "Quick zebras, vexed",
    ],
)
def test_the_widths_are_those_that_the_renderer_gives(text: str, bold: bool) -> None:
    bar = text_width("|", SIZE, bold)
    assert text_width(text, SIZE, bold) == pytest.approx(ink(text, bold) - bar, rel=0.06, abs=4)


@steady
@given(text=st.text(max_size=200), width=numbers(20, 300), bold=st.booleans())
def test_broken_lines_hold_every_sign_and_fit(text: str, width: float, bold: bool) -> None:
    lines = broken(text, 10, width, bold)
    assert "".join("".join(lines).split()) == "".join(text.split())
    for line in lines:
        assert text_width(line, 10, bold) <= width or len(line) == 1


def test_it_breaks_between_words_where_it_can() -> None:
    assert broken("one two three", 10, text_width("one two", 10) + 0.1) == ["one two", "three"]
    assert broken("", 10, 100) == [""]
