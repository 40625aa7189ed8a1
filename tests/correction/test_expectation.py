import numpy as np
import pytest

from tests.correction.made import SKIN, STEADY, WARM
from webapp.colorimetry.warmth import warmth
from webapp.correction.expectation import DRAWS, Ageing, Drawn, colours_after, draw_depths, draw_taken, expected
from webapp.correction.layers import absorbance, depth, through

SURE = Ageing(2.0, 0.0, 0.0, 0.0, "")
NONE = np.zeros((3, 3))


def drawn(ageing: Ageing = SURE, sd: float = 0.0, dose: float = 0.6) -> Drawn:
    return Drawn(draw_taken(WARM, sd**2 * np.eye(3), dose, 1), ageing)


def test_healed_is_the_layer_itself() -> None:
    np.testing.assert_allclose(expected(colours_after(0, SKIN, [drawn()])).lab, through(SKIN, 0.6 * WARM), atol=1e-4)


def test_after_a_half_life_half_the_depth_is_left_and_after_long_bare_skin() -> None:
    half = expected(colours_after(2, SKIN, [drawn()])).lab
    assert depth(absorbance(half, SKIN)) == pytest.approx(0.3, abs=1e-4)
    np.testing.assert_allclose(expected(colours_after(60, SKIN, [drawn()])).lab, SKIN, atol=1e-3)


def test_two_layers_fade_each_at_its_own_pace() -> None:
    slow = Ageing(1e6, 0.0, 0.0, 0.0, "")
    both = expected(colours_after(2, SKIN, [drawn(), drawn(slow)])).lab
    assert depth(absorbance(both, SKIN)) == pytest.approx(0.9, abs=1e-3)


def test_a_turn_is_warmth_and_counts_by_share() -> None:
    warm, still = Ageing(1e6, 0.0, 1.5, 0.0, ""), Ageing(1e6, 0.0, 0.0, 0.0, "")
    start = float(warmth(expected(colours_after(0, SKIN, [drawn(warm)])).lab))
    assert float(warmth(expected(colours_after(2, SKIN, [drawn(warm)])).lab)) == pytest.approx(start + 3, abs=1e-3)
    mixed = [float(warmth(expected(colours_after(y, SKIN, [drawn(warm), drawn(still)])).lab)) for y in (0, 2)]
    assert mixed[1] - mixed[0] == pytest.approx(1.5, abs=1e-3)


def test_the_further_ahead_the_less_sure() -> None:
    """For a layer that is known; doubt about its colour fades with it."""
    spread = [np.trace(expected(colours_after(y, SKIN, [drawn(STEADY)])).covariance) for y in (0, 1, 3)]
    assert spread[0] < spread[1] < spread[2]


def test_the_fan_holds_nine_cases_in_ten_along_its_way() -> None:
    colours = colours_after(1, SKIN, [drawn(STEADY, 0.05)])
    seen = expected(colours)
    assert len(seen.fan) == 5
    np.testing.assert_allclose(seen.fan[2], seen.lab)
    way = seen.fan[4] - seen.fan[0]
    along = (colours - seen.fan[0]) @ way / (way @ way)
    assert np.mean((along > 0) & (along < 1)) == pytest.approx(0.9, abs=0.04)
    assert seen.fan[4][0] > seen.fan[0][0], "from deeper to lighter"


def test_draws_repeat_themselves_and_no_layer_gives_light() -> None:
    one, two = (draw_taken(WARM, 4 * np.eye(3), 0.5, 3) for _ in range(2))
    np.testing.assert_array_equal(one, two)
    assert one.shape == (DRAWS, 3)
    assert np.all(one >= 0)


def test_drawn_depths_have_the_median_asked_for() -> None:
    depths = draw_depths(0.5, 0.3, 0)
    assert np.median(depths) == pytest.approx(0.5, rel=0.05)
    assert np.std(np.log(depths)) == pytest.approx(0.3, rel=0.1)


def test_four_works_in_five_lie_within_the_stated_half_lives() -> None:
    low, high = STEADY.half_life_between(0.8)
    lives = STEADY.half_life_years * np.exp(STEADY.half_life_sd * np.random.default_rng(1).standard_normal(20_000))
    assert np.mean((lives > low) & (lives < high)) == pytest.approx(0.8, abs=0.01)
