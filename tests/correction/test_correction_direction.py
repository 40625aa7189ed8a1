import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.properties import any_lab, numbers, steady, triples
from webapp.colorimetry.encodings import Floats
from webapp.correction.direction import NAMED_FROM, direct, hue_direction, warmth_direction

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
    assert not loud.real
    assert quiet.hue_word == (hue_direction(step[1], step[2]) if np.hypot(step[1], step[2]) >= NAMED_FROM else "")


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
    assert 0.02 < np.mean([d.real for d in spoken]) < 0.06


def turned(step: Floats, degrees: float) -> Floats:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.array([step[0], c * step[1] - s * step[2], s * step[1] + c * step[2]])


@given(angle=numbers(0, 360), length=numbers(0.5, 40), deeper=numbers(-10, 10), eighths=st.integers(1, 8))
@steady
def test_turning_the_step_turns_the_words_with_it(angle: float, length: float, deeper: float, eighths: int) -> None:
    assume(abs((angle + 22.5) % 45 - 22.5) < 22.4)
    assume(abs(length - NAMED_FROM) > 1e-6)
    step = turned(np.array([deeper, length, 0.0]), angle)
    before, after = (direct(PRESENT, PRESENT + s, QUIET) for s in (step, turned(step, 45 * eighths)))
    assert before.depth_word == after.depth_word
    if length < NAMED_FROM:
        assert before.hue_word == after.hue_word == ""
    else:
        assert (ROUND.index(after.hue_word) - ROUND.index(before.hue_word)) % 8 == eighths % 8


@given(angle=numbers(0, 360), length=numbers(0.5, 40))
@steady
def test_half_a_turn_makes_warmer_cooler(angle: float, length: float) -> None:
    opposite = {"warmer": "cooler", "cooler": "warmer", "": ""}
    there, back = (turned(np.array([0.0, length, 0.0]), a) for a in (angle, angle + 180))
    assume(abs(abs((angle - 50 + 180) % 360 - 180) - 90) > 1e-3)
    assert warmth_direction(back[1], back[2]) == opposite[warmth_direction(there[1], there[2])]


@pytest.mark.parametrize("present", [np.array([30.0, 0, 0]), PRESENT])
@given(angle=numbers(0, 360))
@steady
def test_a_short_step_is_named_by_warmth_and_depth_alone(present: Floats, angle: float) -> None:
    for length in (0.6, NAMED_FROM - 0.01):
        step = turned(np.array([-4.0, length, 0.0]), angle)
        direction = direct(present, present + step, QUIET)
        assert direction.hue_word == ""
        assert direction.depth_word == "deeper"
        assert not any(word in " ".join(direction.sentences) for word in ROUND)


@given(angle=numbers(0, 360))
@steady
def test_nothing_jumps_where_hue_begins_to_be_named(angle: float) -> None:
    below, above = (
        direct(PRESENT, PRESENT + turned(np.array([-4.0, NAMED_FROM + d, 0.0]), angle), QUIET) for d in (-0.01, 0.01)
    )
    assert (below.warmth_word, below.depth_word) == (above.warmth_word, above.depth_word)
    assert (below.hue_word, above.hue_word) == ("", hue_direction(*turned(np.array([0, 1.0, 0]), angle)[1:]))


@pytest.mark.parametrize(
    ("angle", "word"), [(50, "warmer"), (0, "warmer"), (120, "warmer"), (230, "cooler"), (140, "")]
)
def test_warmth_goes_by_the_published_axis(angle: float, word: str) -> None:
    """Warm pole at h = 50°: Ou, Luo, Woodcock, Wright 2004, Color Res. Appl. 29: 232–240."""
    assert warmth_direction(np.cos(np.radians(angle)), np.sin(np.radians(angle))) == word
