import numpy as np
import pytest
from scipy import stats

from webapp.drift.families import FEWEST_CLIENTS, WorkTrend, summarise_families
from webapp.drift.own_shift import OwnShift
from webapp.drift.trend import Rate, Trend


def work(
    number: int, warmth: float, client: int | None = None, family: str = "hybrid", density: float | None = -0.02
) -> WorkTrend:
    """Give a work whose warmth changes by `warmth`, and whose density of 0.5 by `density`, per month."""
    rate = Rate(warmth, 0.05, 12)
    loss = None if density is None else Rate(density, 0.002, 12)
    trend = Trend(
        photos=5,
        months=12,
        lightness=Rate(0.1 + warmth, 0.05, 12),
        a=rate,
        b=rate,
        warmth=rate,
        own=OwnShift(np.array([warmth / 2, 0.0]), 0.05**2 * np.eye(2), 12, float("inf")),
        density=loss,
        density_at_start=None if density is None else 0.5,
        fading=None,
        spread=Rate(0.0, 0.02, 12),
    )
    return WorkTrend(number if client is None else client, number, family, trend)


def test_the_mean_and_its_interval_are_students() -> None:
    """By hand: mean ± t(0.975; n − 1)·s/√n of the works' rates, a year long; t from scipy.stats."""
    rates = np.array([0.1, -0.05, 0.2, 0.12, 0.04])
    (summary,) = summarise_families([work(i, r) for i, r in enumerate(rates)])
    yearly = 12 * rates
    assert summary.warmth.per_year == pytest.approx(yearly.mean())
    expected = stats.t.interval(0.95, 4, loc=yearly.mean(), scale=stats.sem(yearly))
    assert summary.warmth.interval == pytest.approx(expected)
    assert summary.own_warmth.per_year == pytest.approx(yearly.mean() / 2)
    assert summary.lightness.per_year == pytest.approx(yearly.mean() + 1.2)


def test_a_work_with_several_cycles_counts_once() -> None:
    (summary,) = summarise_families([work(1, 0.0), work(1, 0.2), work(2, 0.4)])
    assert summary.works == 2
    assert summary.warmth.per_year == pytest.approx(12 * (0.1 + 0.4) / 2)


def test_works_and_clients_are_counted_apart() -> None:
    (summary,) = summarise_families([work(1, 0.1, client=7), work(2, 0.1, client=7), work(3, 0.1, client=8)])
    assert (summary.works, summary.clients) == (3, 2)


def test_one_work_alone_gives_no_interval() -> None:
    (summary,) = summarise_families([work(1, 0.1)])
    assert summary.warmth.interval is None
    assert summary.warmth.per_year == pytest.approx(1.2)


def test_families_are_kept_apart_in_alphabetical_order() -> None:
    summaries = summarise_families([work(1, 0.2, family="inorganic"), work(2, -0.1, family="carbon/organic")])
    assert [s.family for s in summaries] == ["carbon/organic", "inorganic"]
    assert summaries[0].warmth.per_year == pytest.approx(-1.2)


@pytest.mark.parametrize(("clients", "too_few"), [(FEWEST_CLIENTS - 1, True), (FEWEST_CLIENTS, False)])
def test_few_clients_are_called_too_few(clients: int, too_few: bool) -> None:
    (summary,) = summarise_families([work(i, 0.1) for i in range(clients)])
    assert summary.too_few is too_few
    (many_works,) = summarise_families([work(i, 0.1, client=1) for i in range(20)])
    assert many_works.too_few


def test_density_lost_is_a_share_of_what_was_there() -> None:
    (summary,) = summarise_families([work(1, 0.1, density=-0.02), work(2, 0.1, density=None)])
    assert summary.density_share is not None
    assert summary.density_share.per_year == pytest.approx(-0.48)


def test_without_any_density_there_is_no_share() -> None:
    (summary,) = summarise_families([work(1, 0.1, density=None)])
    assert summary.density_share is None


def test_no_trends_no_families() -> None:
    assert summarise_families([]) == ()


def test_the_interval_holds_the_truth_as_often_as_it_claims() -> None:
    """1000 simulated studios of six works: 95 % of the intervals within three standard errors."""
    rng = np.random.default_rng(10)
    held = 0
    for _ in range(1000):
        (summary,) = summarise_families([work(i, float(r)) for i, r in enumerate(rng.normal(0.05, 0.1, 6))])
        assert summary.warmth.interval is not None
        held += summary.warmth.interval[0] < 0.6 < summary.warmth.interval[1]
    assert held / 1000 == pytest.approx(0.95, abs=3 * np.sqrt(0.05 * 0.95 / 1000))
