from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.drift.differences import compare_pairs
from webapp.drift.groups import FEWEST_CLIENTS, SHARED_ERROR, CycleRates, entries, pool_groups
from webapp.drift.half_life import half_life
from webapp.drift.pooling import Pooled, pool


def cycle(client: int, rate: float, se: float = 0.1, work: int | None = None, **traits: str) -> CycleRates:
    told = {"family": "hybrid", "technique": "powder brow"} | traits
    return CycleRates(client, client * 10 if work is None else work, told, {"warmth": (rate, se)})


def test_each_client_counts_once_and_the_groups_equal_pooling_her_entries() -> None:
    cycles = [cycle(i, 0.1 * i) for i in range(6)]
    (group,) = pool_groups(cycles, ["family"], ["warmth"])
    assert (group.label, group.works, group.clients) == (("hybrid",), 6, 6)
    assert group.rates["warmth"] == pool([0.1 * i for i in range(6)], [0.1] * 6)


def test_two_works_of_one_client_are_one_entry() -> None:
    """By hand: mean 2, weights ½ each; variance ½·(0.1²·½) + ½·0.1² with SHARED_ERROR ½."""
    (entry,) = entries([cycle(1, 1.0, work=1), cycle(1, 3.0, work=2)], ["family"], "warmth")
    assert (entry.rate, entry.works) == (pytest.approx(2.0), 2)
    assert SHARED_ERROR == 0.5
    assert entry.se == pytest.approx(np.sqrt(0.75) * 0.1)


def test_two_cycles_of_one_work_are_weighed_by_precision() -> None:
    """By hand: weights 100 and 25 of 125; se 125^−½."""
    (entry,) = entries([cycle(1, 1.0, 0.1, work=1), cycle(1, 3.0, 0.2, work=1)], ["family"], "warmth")
    assert entry.rate == pytest.approx(1.4)
    assert entry.se == pytest.approx(125**-0.5)
    assert entry.works == 1


def test_groups_may_be_combined_and_are_in_alphabetical_order() -> None:
    cycles = [
        cycle(1, 1.0, technique="microblading"),
        cycle(2, 1.0),
        cycle(3, 1.0, family="carbon/organic"),
    ]
    labels = [g.label for g in pool_groups(cycles, ["family", "technique"], ["warmth"])]
    assert labels == [("carbon/organic", "powder brow"), ("hybrid", "microblading"), ("hybrid", "powder brow")]


@pytest.mark.parametrize(("clients", "too_few"), [(FEWEST_CLIENTS - 1, True), (FEWEST_CLIENTS, False)])
def test_few_clients_are_called_too_few(clients: int, too_few: bool) -> None:
    (group,) = pool_groups([cycle(i, 0.1) for i in range(clients)], ["family"], ["warmth"])
    assert group.too_few is group.rests_on_too_few("warmth") is too_few
    (many_works,) = pool_groups([cycle(1, 0.1, work=i) for i in range(20)], ["family"], ["warmth"])
    assert many_works.too_few
    assert (many_works.works, many_works.clients) == (20, 1)


def test_a_rate_that_nobody_has_is_not_there() -> None:
    (group,) = pool_groups([cycle(1, 0.1)], ["family"], ["warmth", "fading"])
    assert set(group.rates) == {"warmth"}
    assert group.rests_on_too_few("fading")


def test_no_cycles_no_groups() -> None:
    assert pool_groups([], ["family"], ["warmth"]) == ()


def pooled(mean: float, se: float, count: int = 20) -> Pooled:
    return Pooled(mean, se, 0.0, 0.0, 0.0, count)


def test_pairs_are_judged_together() -> None:
    """Dunn by hand: of three pairs, each chance counts three times; what is real has an interval without zero."""
    pairs = compare_pairs({("a",): pooled(0, 0.1), ("b",): pooled(0.4, 0.1), ("c",): pooled(1.0, 0.1)})
    chances = [p.chance for p in pairs]
    assert chances == sorted(chances)
    assert [p.among_all for p in pairs] == pytest.approx([min(3 * chance, 1) for chance in chances])
    assert {(p.first, p.second) for p in pairs if p.real} == {(("a",), ("c",)), (("b",), ("c",)), (("a",), ("b",))}


@given(st.lists(st.tuples(st.floats(-1, 1), st.floats(0.05, 1)), min_size=2, max_size=6))
def test_what_is_told_apart_has_an_interval_that_leaves_zero_out(rates: list[tuple[float, float]]) -> None:
    for pair in compare_pairs({(str(i),): pooled(*rate) for i, rate in enumerate(rates)}):
        assert pair.real is (pair.interval[0] > 0 or pair.interval[1] < 0)


def test_families_within_a_technique_are_compared_in_that_technique_alone() -> None:
    labels = [("powder brow", "hybrid"), ("powder brow", "inorganic"), ("microblading", "hybrid")]
    (pair,) = compare_pairs({label: pooled(i, 0.1) for i, label in enumerate(labels)}, shared=1)
    assert (pair.first, pair.second) == (labels[0], labels[1])


def test_welchs_degrees_of_freedom() -> None:
    """Equal errors of n each: 2(n − 1), as in Student's test."""
    (pair,) = compare_pairs({("a",): pooled(0, 0.1, 8), ("b",): pooled(0, 0.1, 8)})
    assert pair.freedom == pytest.approx(14)
    assert pair.chance == pytest.approx(1)


def test_with_many_groups_chance_alone_tells_few_apart() -> None:
    """Six groups without any difference, 1000 studios: at least one pair called real in about 5 %, within 3 errors."""
    rng = np.random.default_rng(2)
    found = 0
    for _ in range(1000):
        groups = {(str(i),): pool(rng.normal(0, 0.3, 12), np.full(12, 0.1)) for i in range(6)}
        found += any(p.real for p in compare_pairs(groups))
    assert found / 1000 < 0.05 + 3 * np.sqrt(0.05 * 0.95 / 1000)


def test_half_lives_turn_the_interval_round() -> None:
    """By hand: 12·ln 2 / 0.35 = 23.8 months."""
    found = half_life(pooled(0.35, 0.05, 10**6))
    assert found.months == pytest.approx(23.77, abs=0.01)
    assert found.interval is not None
    low, high = found.interval
    assert low == pytest.approx(12 * np.log(2) / (0.35 + 1.96 * 0.05), rel=1e-3)
    assert high == pytest.approx(12 * np.log(2) / (0.35 - 1.96 * 0.05), rel=1e-3)
    assert low < found.months < high


def test_no_fading_no_half_life() -> None:
    found = half_life(pooled(-0.1, 0.2))
    assert found.months == float("inf")
    assert found.interval is not None
    assert found.interval[1] == float("inf") > found.interval[0]
    assert half_life(pooled(0.3, 0.1, 1)).interval is None
