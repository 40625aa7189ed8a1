import numpy as np
import pytest

from webapp.drift.own_shift import OwnShift
from webapp.drift.prior import (
    FEWEST_CLIENTS,
    PRACTICE,
    PRACTICE_ALONE,
    KnownRates,
    Prior,
    Priors,
    pool_shift,
    pool_with,
)
from webapp.drift.rate import Rate


def known(
    client: int, rate: float, se: float = 0.02, technique: str = "powder brow", site: str = "left brow"
) -> KnownRates:
    return KnownRates(client, "inorganic", technique, site, {"own_warmth": (rate, se)})


def expected(priors: Priors, client: int = 0, technique: str = "powder brow", site: str = "left brow") -> Prior:
    return priors.of("own_warmth", "inorganic", technique, site, client)


def test_many_works_that_agree_are_expected_of_the_next() -> None:
    rng = np.random.default_rng(1)
    prior = expected(Priors(known(c, rng.normal(0.15, 0.05), 0.02) for c in range(1, 80)))
    assert prior.from_studio
    assert (prior.works, prior.clients) == (79, 79)
    assert prior.mean == pytest.approx(0.15, abs=0.02)
    assert prior.sd == pytest.approx(0.05, abs=0.015)


def test_the_next_works_rate_lies_within_what_is_expected_as_often_as_claimed() -> None:
    """Groups of six clients, drawn 600 times: few, so that how far they lie apart is hardly known."""
    rng = np.random.default_rng(2)
    hits = 0
    for _ in range(600):
        rates = rng.normal(rng.normal(0.08, 0.15), 0.08, 7)
        prior = expected(Priors(known(c, r + rng.normal(0, 0.1), 0.1) for c, r in enumerate(rates[:6], 1)))
        hits += abs(rates[6] - prior.mean) < 1.96 * prior.sd
    assert 0.92 < hits / 600 < 0.99


def test_a_client_is_not_judged_by_her_own_works() -> None:
    others = [known(c, 0.1) for c in range(1, 8)]
    loud = [known(99, 3.0) for _ in range(4)]
    assert expected(Priors(others + loud), client=99) == expected(Priors(others), client=99)
    assert expected(Priors(others + loud), client=50).mean > expected(Priors(others), client=50).mean


def test_wider_groups_are_asked_where_the_narrow_one_has_too_few_clients() -> None:
    here = [known(c, 0.3) for c in range(1, FEWEST_CLIENTS)]
    elsewhere = [known(10 + c, 0.1, site="right brow") for c in range(1, 4)]
    other = [known(20 + c, 0.0, technique="microblading") for c in range(1, 4)]
    assert expected(Priors([*here, known(5, 0.3)])).source == "inorganic, powder brow, left brow"
    assert expected(Priors(here + elsewhere)).source == "inorganic, powder brow"
    assert expected(Priors(here + other)).source == "inorganic"
    alone = expected(Priors(here))
    assert alone.source == PRACTICE
    assert not alone.from_studio


def test_five_works_of_one_client_are_one_client() -> None:
    assert expected(Priors(known(1, 0.3) for _ in range(9))).source == PRACTICE


def test_common_practice_speaks_softly_and_in_its_own_direction() -> None:
    cool, warm = (PRACTICE_ALONE.of("own_warmth", f, "", "", 0) for f in ("carbon/organic", "inorganic"))
    assert cool.mean < 0 < warm.mean
    assert cool.sd * 12 > 3
    slow, quick = (PRACTICE_ALONE.of("fading", f, "", "", 0) for f in ("carbon/organic", "inorganic"))
    assert 0 < slow.mean < quick.mean


def test_two_photos_do_not_shout_and_ten_rule() -> None:
    prior = Prior(0.0, 0.1, "")
    few, many = pool_with(Rate(0.3, 0.3, 6, 10), prior), pool_with(Rate(0.3, 0.03, 30, 18), prior)
    assert abs(few.rate.per_month) < 0.1
    assert few.own_share < 0.35
    assert many.rate.per_month == pytest.approx(0.3, abs=0.03)
    assert many.own_share > 0.9
    assert few.rate.half_width < Rate(0.3, 0.3, 6, 10).half_width


def test_a_work_unlike_the_others_is_not_talked_down() -> None:
    clearly = pool_with(Rate(1.0, 0.1, 12), Prior(0.0, 0.1, ""))
    assert clearly.rate.per_month > 0.85, "normal tails alone would give 0.5"


def test_one_axis_pooled_as_a_shift_is_the_same_as_pooled_as_a_rate() -> None:
    rate = Rate(0.2, 0.1, 12)
    far = Prior(0.0, 1e3, "")
    shift = pool_shift(OwnShift(np.array([0.2, 0.0]), np.diag([0.01, 0.01]), 12, 1e9), far, far)
    assert shift.along(0).per_month == pytest.approx(pool_with(rate, far).rate.per_month, abs=1e-6)
    assert shift.along(0).se == pytest.approx(0.1, rel=1e-3)


def test_pooling_gives_the_mean_and_spread_of_the_posterior() -> None:
    """Against numerical integration of the mixture prior times the normal likelihood."""
    rate, prior = Rate(0.3, 0.15, 12), Prior(-0.05, 0.1, "")
    x = np.linspace(-2, 2, 40_001)

    def normal(centre: float, sd: float) -> np.ndarray:
        return np.exp(-0.5 * ((x - centre) / sd) ** 2) / sd

    posterior = (0.9 * normal(-0.05, 0.1) + 0.1 * normal(-0.05, 0.3)) * normal(0.3, 0.15)
    posterior /= posterior.sum()
    mean = float(posterior @ x)
    pooled = pool_with(rate, prior).rate
    assert pooled.per_month == pytest.approx(mean, abs=1e-5)
    assert pooled.se == pytest.approx(float(np.sqrt(posterior @ (x - mean) ** 2)), rel=1e-4)
