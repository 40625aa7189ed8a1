from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given

from tests.properties import numbers, steady
from webapp.drift.own_shift import SECTORS, OwnShift


def towards(hue: float, size: float = 0.5, sd: float = 0.02) -> OwnShift:
    angle = np.radians(hue - 50)
    return OwnShift(size * np.array([np.cos(angle), np.sin(angle)]), sd**2 * np.eye(2), 12, 20)


def test_the_words_divide_the_whole_circle() -> None:
    assert SECTORS[-1][2] - SECTORS[0][1] == 360
    assert all(a[2] == b[1] for a, b in pairwise(SECTORS))


@given(hue=numbers(-180, 540))
@steady
def test_a_clear_shift_has_its_sectors_word_all_round(hue: float) -> None:
    word, chance = towards(hue, sd=0.001).word()
    inside = [w for w, low, high in SECTORS if (hue - low) % 360 < high - low]
    margin = min(min((hue - low) % 360, (low - hue) % 360) for _, low, _ in SECTORS)
    if margin > 1:
        assert word == inside[0]
        assert chance > 0.95
    assert towards(hue).warm == (word in ("pink", "red", "orange", "yellow")) or margin <= 1


def test_near_neutral_no_direction_is_named() -> None:
    assert towards(72, size=0.001, sd=0.1).word()[0] == ""


def test_the_side_is_as_sure_as_the_normal_law_says() -> None:
    """Along the warmth axis one standard error out: 84 % by the normal law."""
    shift = towards(50, size=0.1, sd=0.1)
    assert shift.chance_of_side(True) == pytest.approx(0.841, abs=0.01)
    assert shift.chance_of_side(True) + shift.chance_of_side(False) == pytest.approx(1)


def test_the_chance_of_having_gone_far_is_rayleighs_for_none() -> None:
    """No shift seen: exp(−r²/2) of two-dimensional normal draws lie beyond r standard errors."""
    still = OwnShift(np.zeros(2), 0.1**2 * np.eye(2), 10, 20)
    for r in (0.5, 1.0, 2.0):
        assert still.chance_beyond(r) == pytest.approx(np.exp(-(r**2) / 2), abs=0.01)
