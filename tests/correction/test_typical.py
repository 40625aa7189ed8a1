import numpy as np
import pytest
from hypothesis import given

from tests.properties import numbers, steady
from webapp.correction.practice import FAMILY, HAND, MICROBLADING_TURN, TECHNIQUE_DEPTH
from webapp.correction.typical import Course, Subject, hold_towards, typical_ageing, typical_depth

POWDER = Subject(None, "inorganic", "powder brow", "brow")


def course(client: int, pigment: int | None = 2, depth: float = 0.6, half_life: float = 1.0, **also: object) -> Course:
    facts = {"family": "inorganic", "technique": "powder brow", "place": "brow", "hand": ""} | also
    return Course(client, pigment, depth=depth, fading=(np.log(2) / half_life, 0.03), turn=(2.0, 0.3), **facts)


def test_without_figures_it_is_common_practice_and_says_so() -> None:
    ageing = typical_ageing(POWDER, [])
    assert ageing.half_life_years == pytest.approx(FAMILY["inorganic"].half_life_years)
    assert ageing.turn_per_year == FAMILY["inorganic"].turn_per_year
    assert ageing.from_practice
    assert "no source" in ageing.basis
    assert np.exp(typical_depth(POWDER, []).mean) == pytest.approx(TECHNIQUE_DEPTH["powder brow"])


def test_one_work_moves_it_a_little_and_many_rule() -> None:
    practice = FAMILY["inorganic"].half_life_years
    one, many = (typical_ageing(POWDER, [course(c) for c in range(n)]) for n in (1, 40))
    assert practice > one.half_life_years > many.half_life_years
    assert many.half_life_years == pytest.approx(1.0, rel=0.1)
    assert many.turn_per_year == pytest.approx(2.0, rel=0.1)
    assert one.half_life_years > 1.3
    assert "1 client with" in one.basis
    assert "held towards common practice" in one.basis
    assert "held towards" not in many.basis
    assert not one.from_practice


def test_a_client_counts_once_in_each_circle() -> None:
    twenty_of_one = typical_ageing(POWDER, [course(1)] * 20)
    assert "1 client with" in twenty_of_one.basis
    assert twenty_of_one.half_life_years > typical_ageing(POWDER, [course(c) for c in range(20)]).half_life_years


def test_the_narrower_circle_has_the_last_word() -> None:
    others = [course(c, pigment=3, half_life=3.0) for c in range(10)]
    own = [course(c, pigment=2, half_life=1.0) for c in range(10, 20)]
    family = typical_ageing(POWDER, others + own).half_life_years
    fast = typical_ageing(Subject(2, "inorganic", "powder brow", "brow"), others + own).half_life_years
    slow = typical_ageing(Subject(3, "inorganic", "powder brow", "brow"), others + own).half_life_years
    assert fast < family < slow


def test_another_technique_counts_for_less_than_the_one_asked_about() -> None:
    elsewhere = [course(c, technique="microblading", depth=1.2) for c in range(10)]
    here = [course(c, depth=0.3) for c in range(10, 20)]
    depth = float(np.exp(typical_depth(POWDER, elsewhere + here).mean))
    assert depth < np.sqrt(1.2 * 0.3)
    assert typical_depth(POWDER, elsewhere + here).clients == (20, 10)


def test_a_heavy_hand_heals_deeper_and_known_hands_are_allowed_for() -> None:
    light, heavy = (Subject(None, "inorganic", "powder brow", "brow", hand) for hand in ("light", "heavy"))
    heavy_works = [course(c, depth=0.75, hand="heavy") for c in range(30)]
    means = [float(np.exp(typical_depth(s, heavy_works).mean)) for s in (light, heavy)]
    assert means[1] / means[0] == pytest.approx(HAND["heavy"] / HAND["light"])
    assert means[1] == pytest.approx(0.75, rel=0.05)


def test_microblading_is_expected_a_little_cooler_where_nothing_else_is_known() -> None:
    micro = typical_ageing(Subject(None, "hybrid", "microblading", "brow"), [])
    assert micro.turn_per_year == FAMILY["hybrid"].turn_per_year + MICROBLADING_TURN


def test_an_unknown_family_learns_only_of_its_own_pigment() -> None:
    unknown = [course(c, pigment=7, family="unknown") for c in range(10)]
    assert typical_ageing(Subject(None, "unknown", "powder brow", "brow"), unknown).from_practice
    own = typical_ageing(Subject(7, "unknown", "powder brow", "brow"), unknown)
    assert own.half_life_years < 1.6
    assert not own.from_practice
    assert "10" in own.basis


@given(value=numbers(-3, 3), error=numbers(0.01, 2))
@steady
def test_an_estimate_lies_between_practice_and_what_was_seen(value: float, error: float) -> None:
    held = hold_towards(0.0, 1.0, [[(1, value, error)]])
    assert min(0, value) <= held.mean <= max(0, value)
    assert held.sd > 0


def test_a_noisy_figure_moves_it_less_and_its_noise_is_no_difference_between_clients() -> None:
    sure, unsure = (hold_towards(0.0, 0.5, [[(c, v, e) for c, v in enumerate((0.8, 1.2))]]) for e in (0.05, 3.0))
    assert unsure.mean < sure.mean / 5
    noisy = hold_towards(0.0, 0.5, [[(c, v, 2.0) for c, v in enumerate(np.tile([-2.0, 2.0], 10))]])
    assert noisy.sd < 0.8


def test_many_clients_of_known_mean_and_spread_are_found_again() -> None:
    rng = np.random.default_rng(3)
    seen = [(c, float(rng.normal(1.5, 0.4)), 0.05) for c in range(400)]
    held = hold_towards(0.0, 1.0, [seen])
    assert held.mean == pytest.approx(1.5, abs=0.06)
    assert held.sd == pytest.approx(0.4, abs=0.05)
