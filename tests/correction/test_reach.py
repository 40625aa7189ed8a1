import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from tests.correction.made import AGEINGS, COOL, LIMITS, SKIN, STEADY, WARM, layer, place
from tests.properties import numbers, steady
from webapp.colorimetry.difference import delta_e_00
from webapp.correction.drawbacks import Limits
from webapp.correction.gap import judge_gap
from webapp.correction.layers import depth, through
from webapp.correction.reach import MOST_DEPTH, PARTS, Place, Reached, reach

NIGHT, CLAY = layer("Night", COOL, "carbon/organic"), layer("Clay", WARM)
FEN = layer("Fen", np.array([0.9, 1.05, 1.1]), "hybrid")


@given(dose=numbers(0.1, 1.0))
@steady
def test_what_one_pigment_made_one_pigment_is_found_to_reach(dose: float) -> None:
    best = reach(place(dose * COOL), [NIGHT, CLAY, FEN], AGEINGS, LIMITS).options[0]
    assert best.layers == (NIGHT,)
    assert best.nearest < 0.05
    assert best.depth_added == pytest.approx(dose, abs=0.01)


@given(parts=st.sampled_from(PARTS), total=numbers(0.4, 0.9))
@steady
def test_what_a_pair_made_the_pair_is_found_to_reach(parts: tuple[int, int], total: float) -> None:
    taken = total * (parts[0] * COOL + parts[1] * WARM) / sum(parts)
    found = reach(place(taken), [NIGHT, CLAY], AGEINGS, LIMITS)
    pairs = [o for o in found.options if len(o.layers) == 2]
    singles = [o for o in found.options if len(o.layers) == 1]
    if not pairs:  # where one pigment does nearly as well for all that can be told, a pair is not worth its line
        assert min(o.delta_e_range[0] for o in singles) < 1
        return
    assert dict(zip([x.name for x in pairs[0].layers], pairs[0].parts, strict=True)) == {
        "Night": parts[0],
        "Clay": parts[1],
    }
    assert pairs[0].nearest < 0.1
    assert pairs[0].depth_added == pytest.approx(total, abs=0.02)


@given(seed=st.integers(0, 10**5))
@settings(steady, max_examples=8)
def test_no_depth_of_one_pigment_comes_nearer_than_the_one_found(seed: int) -> None:
    """Against scipy's bounded minimiser, from several starts, on ΔE00 itself."""
    rng = np.random.default_rng(seed)
    where = place(rng.uniform(0.1, 0.8) * np.maximum(0.2, WARM + rng.normal(0, 0.3, 3)))
    for option in reach(where, [NIGHT, CLAY, FEN], AGEINGS, LIMITS).options:
        if len(option.layers) == 1:

            def distance(d: np.ndarray, k: np.ndarray = option.layers[0].k) -> float:
                return float(delta_e_00(through(where.present, d[0] * k), where.aim))

            theirs = min(minimize(distance, [s], bounds=[(0, MOST_DEPTH)]).fun for s in (0.1, 0.4, 0.9))
            assert option.nearest <= theirs + 0.01


def test_options_come_in_order_and_each_betters_doing_nothing() -> None:
    found = reach(place(0.4 * (0.7 * COOL + 0.3 * WARM)), [NIGHT, CLAY, FEN], AGEINGS, LIMITS)
    distances = [round(o.delta_e, 1) for o in found.options]
    assert distances == sorted(distances)
    assert all(o.delta_e < found.place.distance for o in found.options)
    assert found.nearest == min(o.nearest for o in found.options)
    for option in found.options:
        assert option.delta_e_range[0] < option.delta_e < option.delta_e_range[1]
        assert option.nearest < option.delta_e, "what is uncertain can only lead away from the nearest"
        assert option.density_after == pytest.approx(found.place.density + option.depth_added, rel=0.1)
        assert np.all(option.healed.sd > 0)
        assert option.year_on.lab[0] > option.healed.lab[0], "a year on it has faded"


def test_a_layer_that_is_less_sure_has_a_wider_interval() -> None:
    where = place(0.5 * COOL)
    widths = []
    for sd in (0.03, 0.3):
        (option,) = reach(where, [layer("Night", COOL, "carbon/organic", sd)], AGEINGS, LIMITS).options
        widths.append(option.delta_e_range[1] - option.delta_e_range[0])
    assert widths[1] > 2 * widths[0]


def lighter_place() -> Place:
    present = through(SKIN, 0.9 * WARM)
    return Place(present, SKIN, through(SKIN, 0.45 * WARM), 0.09 * np.eye(3), STEADY)


def test_a_lighter_aim_gets_no_option_and_says_what_comes_first() -> None:
    found = reach(lighter_place(), [NIGHT, CLAY, FEN], AGEINGS, LIMITS)
    assert found.options == ()
    assert len(found.of_no_help) == 3
    gap = judge_gap(found, lighter=True, real=True, acceptable=1.8)
    assert gap.verdict == "out of reach"
    assert "Adding pigment cannot get there" in gap.sentences[0]
    first = " ".join(gap.first)
    assert "licensed practitioner" in first
    assert "darken under a laser" in first
    # Half the density is about one half-life, here 4 years.
    assert "3.9 years" in first


def test_an_aim_in_the_opposite_hue_at_equal_depth_is_out_of_reach_too() -> None:
    present = through(SKIN, 0.5 * WARM)
    where = Place(present, SKIN, present + np.array([3.0, 8.0, 8.0]), 0.09 * np.eye(3), STEADY)
    found = reach(where, [NIGHT], AGEINGS, LIMITS)
    assert judge_gap(found, lighter=False, real=True, acceptable=1.8).verdict == "out of reach"


def verdict(found: Reached, **facts: bool) -> str:
    return judge_gap(found, **{"lighter": False, "real": True} | facts, acceptable=1.8).verdict


def test_the_other_verdicts() -> None:
    assert verdict(reach(place(0.5 * COOL), [NIGHT], AGEINGS, LIMITS)) == "within reach"
    assert verdict(reach(place(0.6 * COOL), [CLAY], AGEINGS, LIMITS)) == "part of the way"
    assert verdict(reach(place(0.0 * COOL), [CLAY], AGEINGS, LIMITS), real=False) == "at the aim"


def kinds(where: Place, *layers: object, limits: Limits = LIMITS) -> set[str]:
    found = reach(where, layers, AGEINGS, limits)
    assert found.options, "nothing on offer to mark"
    return {d.kind for o in found.options for d in o.drawbacks}


def test_a_good_option_is_not_marked() -> None:
    assert kinds(place(0.3 * COOL), NIGHT) == set()


def test_an_option_that_goes_too_dense_is_marked_with_both_figures() -> None:
    assert "too dense" in kinds(place(0.5 * COOL), NIGHT, limits=Limits(1.8, 0.7, "made up."))


def test_a_pigment_that_has_to_go_deeper_than_the_aim_to_turn_the_hue_is_marked() -> None:
    where = place(0.05 * COOL + np.array([0.35, 0.0, -0.2]), there=0.6 * WARM)
    assert "overshoots" in kinds(where, NIGHT)


def test_a_pigment_that_greys_is_marked() -> None:
    present = through(SKIN, 0.4 * WARM)
    where = Place(present, SKIN, present + np.array([-14.0, 1.0, 1.0]), 0.09 * np.eye(3), STEADY)
    assert "muddies" in kinds(where, layer("Grey", np.array([1.3, 0.95, 0.6])))


def test_one_that_is_soon_further_off_than_today_is_marked() -> None:
    where = place(0.12 * COOL, there=0.8 * WARM)
    fast = Place(where.present, where.bare, where.aim, where.covariance, type(STEADY)(0.5, 0.1, 0.0, 0.1, ""))
    assert "drifts away" in kinds(fast, NIGHT)


def test_an_empty_shelf_offers_nothing() -> None:
    found = reach(place(0.4 * COOL), [], AGEINGS, LIMITS)
    assert (found.options, found.nearest) == ((), found.place.distance)
    assert float(depth(COOL)) == pytest.approx(1)
