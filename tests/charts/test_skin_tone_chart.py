import re

import pytest

from webapp.charts.skin_tone import TonePoint, skin_tone_chart

POINTS = [TonePoint(2023.2, 46, 6, "#ccaaaa"), TonePoint(2025.9, 58, 6, "#ccaabb")]


@pytest.mark.parametrize("width", ["narrow", "wide"])
def test_every_reading_is_drawn_in_its_colour_with_the_borders_of_its_class(width):
    svg = skin_tone_chart(POINTS, width)
    for colour in ("#ccaaaa", "#ccaabb"):
        assert svg.count(f'fill="{colour}"') == 1
    assert set(re.findall(r">([a-z ]+) ↑<", svg)) == {"very light", "light"}


def test_one_reading_amid_a_class_is_drawn_too():
    svg = skin_tone_chart([TonePoint(2024.5, 48, 0.5, "#ccaaaa")], "wide")
    assert "↑" not in svg
    assert svg.count('fill="#ccaaaa"') == 1
