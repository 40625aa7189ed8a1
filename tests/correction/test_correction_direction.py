import numpy as np
import pytest
from hypothesis import given

from tests.properties import any_lab, numbers, steady, triples
from webapp.colorimetry.encodings import Floats
from webapp.correction.direction import direct, hue_direction

ROUND = ("red", "orange", "yellow", "olive", "green", "blue-green", "blue", "violet")
QUIET = np.diag([0.01, 0.01, 0.01])
PRESENT = np.array([45.0, 6.0, 8.0])


@pytest.mark.parametrize("number", range(8))
def test_each_word_stands_for_its_eighth_of_the_circle(number: int) -> None:
    for angle in (45 * number - 22, 45 * number, 45 * number + 22):
        assert hue_direction(np.cos(np.radians(angle)), np.sin(np.radians(angle))) == ROUND[number]


@given(angle=numbers(-720, 720), length=numbers(0.1, 60))
@steady
def test_a_word_is_the_nearest_of_eight_wherever_the_circle_is_cut(angle: float, length: float) -> None:
    word = hue_direction(length * np.cos(np.radians(angle)), length * np.sin(np.radians(angle)))
    off = (angle - 45 * ROUND.index(word) + 180) % 360 - 180
    assert abs(off) <= 22.5 + 1e-6


@given(angle=numbers(0, 360))
@steady
def test_a_small_turn_gives_the_same_word_or_its_neighbour(angle: float) -> None:
    words = [hue_direction(np.cos(np.radians(a)), np.sin(np.radians(a))) for a in (angle - 0.5, angle + 0.5)]
    apart = abs(ROUND.index(words[0]) - ROUND.index(words[1]))
    assert apart in (0, 1, 7)


@given(angle=numbers(0, 360))
@steady
def test_the_way_back_is_the_opposite_word(angle: float) -> None:
    da, db = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    there, back = hue_direction(da, db), hue_direction(-da, -db)
    near_a_border = abs((angle + 22.5) % 45) < 1e-6
    assert near_a_border or abs(ROUND.index(there) - ROUND.index(back)) == 4


@pytest.mark.parametrize("number", range(8))
def test_the_sentence_names_the_word_and_both_numbers(number: int) -> None:
    turn = 10 * np.array([0, np.cos(np.radians(45 * number)), np.sin(np.radians(45 * number))])
    direction = direct(PRESENT, PRESENT + turn, QUIET)
    assert direction.hue_word == ROUND[number]
    assert direction.depth_word == ""
    text = " ".join(direction.sentences)
    assert f"10.0 towards {ROUND[number]}" in text
    assert f"A pigment that leans to {ROUND[number]} would bring it that way" in text
    assert f"a* {turn[1]:+.1f}".replace("-", "−") in text


def test_a_lighter_aim_cannot_be_reached_by_adding_pigment() -> None:
    direction = direct(PRESENT, PRESENT + np.array([6, 0, 0]), QUIET)
    assert direction.depth_word == "lighter"
    text = " ".join(direction.sentences)
    assert "Adding pigment cannot make it lighter" in text
    assert "licensed practitioner" in text
    assert "A pigment that leans" not in text


def test_a_lighter_aim_of_another_hue_is_still_out_of_reach() -> None:
    text = " ".join(direct(PRESENT, PRESENT + np.array([6, 8, 0]), QUIET).sentences)
    assert "Adding pigment cannot" in text
    assert "A pigment that leans" not in text


def test_a_deeper_aim_of_the_same_hue_asks_for_more_of_the_same() -> None:
    direction = direct(PRESENT, PRESENT - np.array([6, 0, 0]), QUIET)
    assert direction.depth_word == "deeper"
    assert "6.0 deeper" in direction.sentences[0]
    assert "More of the same colour" in direction.sentences[1]


def test_a_colour_at_its_aim_is_left_alone() -> None:
    direction = direct(PRESENT, PRESENT + np.array([0.1, 0.1, -0.1]), QUIET)
    assert (direction.hue_word, direction.depth_word) == ("", "")
    assert len(direction.sentences) == 1
    assert "at its aim" in direction.sentences[0]


@given(step=triples((-20, 20), (-20, 20), (-20, 20)))
@steady
def test_what_lies_within_noise_gets_no_word(step: Floats) -> None:
    quiet, loud = (direct(PRESENT, PRESENT + step, np.diag([sd**2] * 3)) for sd in (1e-9, 30.0))
    assert (loud.hue_word, loud.depth_word) == ("", "")
    assert quiet.hue_word == (hue_direction(step[1], step[2]) if np.hypot(step[1], step[2]) > 1e-6 else quiet.hue_word)


@given(present=any_lab, aim=any_lab)
@steady
def test_the_step_leads_from_here_to_there(present: Floats, aim: Floats) -> None:
    direction = direct(present, aim, QUIET)
    np.testing.assert_allclose(direction.present + direction.step, aim, atol=1e-9)
    assert all(s.endswith(".") and " -" not in s for s in direction.sentences)


def test_noise_alone_seldom_gets_a_word() -> None:
    """5000 steps of nothing but noise: any word in about 5 % of cases, as the χ² test promises."""
    rng = np.random.default_rng(21)
    covariance = np.diag([1.4, 1.3, 2.2])
    steps = rng.multivariate_normal(np.zeros(3), covariance, 5000)
    spoken = [direct(PRESENT, PRESENT + step, covariance) for step in steps]
    assert 0.02 < np.mean([bool(d.hue_word or d.depth_word) for d in spoken]) < 0.06
