from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given

from tests.properties import numbers, steady
from webapp.charts.hue_ring import RingEnd, hue_ring_chart, ring_chroma, ring_segments
from webapp.charts.style import Width
from webapp.colorimetry.encodings import decode_srgb
from webapp.colorimetry.lab import hue, linear_to_lab

WORDS = ("red", "orange", "yellow", "olive", "green", "blue-green", "blue", "violet")
PRESENT, AIM = RingEnd(np.array([46.0, 12, 16]), "now"), RingEnd(np.array([40.0, 7, 11]), "aim")


@given(lightness=numbers(20, 85))
@steady
def test_every_piece_has_the_brows_lightness_one_chroma_and_the_hue_of_its_place(lightness: float) -> None:
    chroma = ring_chroma(lightness)
    assert chroma >= 10
    for piece in ring_segments(lightness):
        codes = np.array([int(piece.colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
        lab = linear_to_lab(decode_srgb(codes))
        assert lab[0] == pytest.approx(lightness, abs=0.6)
        assert np.hypot(*lab[1:]) == pytest.approx(chroma, abs=1.2)
        place = 90 - np.degrees((piece.start + piece.end) / 2)  # clockwise from the top → counter-clockwise from +a*
        assert abs((hue(lab) - place + 180) % 360 - 180) < 5


def test_the_pieces_close_the_ring() -> None:
    pieces = ring_segments(50)
    assert sum(p.end - p.start for p in pieces) == pytest.approx(2 * np.pi)
    assert all(a.start == pytest.approx(b.end) for a, b in pairwise(pieces))


@pytest.mark.parametrize("width", ["narrow", "wide"])
def test_the_chart_names_every_hue_and_both_ends(width: Width) -> None:
    svg = hue_ring_chart(PRESENT, AIM, 2.5, WORDS, width)
    said = [t.text for t in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")]
    assert {*WORDS, "now", "aim"} <= set(said)
    assert "NaN" not in svg


@pytest.mark.parametrize("aim", [PRESENT.lab, PRESENT.lab + 1e-9, np.array([0.0, 0, 0]), np.array([46, 90.0, -90])])
def test_any_step_can_be_drawn(aim: np.ndarray) -> None:
    assert "NaN" not in hue_ring_chart(PRESENT, RingEnd(aim, "aim"), 2.5, WORDS, "wide")
    assert "NaN" not in hue_ring_chart(RingEnd(aim, "now"), PRESENT, 2.5, WORDS, "wide")
