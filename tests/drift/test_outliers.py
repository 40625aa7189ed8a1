from dataclasses import replace

import numpy as np
import pytest

from tests.drift.made import PIGMENT, SKIN, WARM, cycle_of, reading
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.drift.cycles import Cycle
from webapp.drift.noise import ANCHORED_CAMERA_SD
from webapp.drift.outliers import CHANCE, MOVED, ODD, judged_series
from webapp.drift.reading import Reading

MONTHS = (1.5, 4, 7, 10, 13, 16)
TANNED = SKIN + np.array([-12.0, 4, 7])


def cycle(
    odd: dict[float, Floats] | None = None, tanned: tuple[float, ...] = (), months: tuple[float, ...] = MONTHS
) -> Cycle:
    odd = odd or {}
    return cycle_of([reading(m, odd.get(m, PIGMENT), TANNED if m in tanned else SKIN) for m in months])


def why(cycle: Cycle) -> dict[float, str]:
    return {round(p.months * 2) / 2: p.because for p in judged_series(cycle) if p.because}


def test_photos_that_fit_are_all_judged_by() -> None:
    assert why(cycle()) == {}


def test_a_steady_drift_is_no_odd_photo() -> None:
    readings = [reading(m, PIGMENT + WARM * 0.6 * m) for m in MONTHS]
    assert why(cycle_of(readings)) == {}


@pytest.mark.parametrize("when", [4.0, 10.0, 16.0])
def test_a_photo_that_does_not_fit_the_others_is_named(when: float) -> None:
    assert why(cycle({when: PIGMENT + np.array([6.0, -6, 7])})) == {when: ODD}


def test_an_odd_baseline_gives_way_to_the_next_photo() -> None:
    told = cycle({1.5: PIGMENT + np.array([8.0, -6, 7])})
    series = judged_series(told)
    assert why(told) == {1.5: ODD}
    assert series[0].baseline is told.healed[1]


def test_a_baseline_set_by_the_artist_stays() -> None:
    told = cycle({1.5: PIGMENT + np.array([8.0, -6, 7])}, tanned=(1.5,))
    chosen = replace(told, session=replace(told.session, baseline=told.healed[0].key))
    assert judged_series(chosen)[0].baseline is told.healed[0]


def test_what_the_artist_took_in_stays_in() -> None:
    odd = reading(7, PIGMENT + np.array([6.0, -6, 7]))
    kept = Reading(odd.key, odd.on, odd.pigment, odd.skin, kept=True)
    others = [reading(m) for m in MONTHS if m != 7]
    assert why(cycle_of([*others, odd])) == {7.0: ODD}
    assert why(cycle_of([*others, kept])) == {}


def test_three_photos_have_no_odd_one() -> None:
    assert why(cycle({7: PIGMENT + np.array([9.0, -9, 9])}, months=(1.5, 4, 7))) == {}


def test_photos_of_skin_that_changed_are_left_out() -> None:
    assert why(cycle(tanned=(10, 16))) == {10.0: MOVED, 16.0: MOVED}


def test_of_two_photos_the_second_is_the_one_that_moved() -> None:
    assert why(cycle(tanned=(4,), months=(1.5, 4))) == {4.0: MOVED}


def test_a_tanned_baseline_gives_way() -> None:
    told = cycle(tanned=(1.5,))
    assert why(told) == {1.5: MOVED}
    assert judged_series(told)[0].baseline is told.healed[1]


def test_where_nothing_is_amiss_few_photos_are_left_out() -> None:
    """By the tests' level, one cycle in a hundred for each of the two reasons; up to three in a hundred pass here."""
    rng = np.random.default_rng(5)
    left_out = 0
    for _ in range(400):
        readings = [
            Reading(i, r.on, r.pigment, r.skin)
            for i, r in enumerate(
                reading(
                    m,
                    _lit(PIGMENT, light) + rng.normal(0, ANCHORED_CAMERA_SD / np.sqrt(2)),
                    _lit(SKIN, light),
                )
                for m, light in ((m, _light(SKIN + rng.normal(0, 0.8, 3))) for m in MONTHS)
            )
        ]
        left_out += bool(why(cycle_of(readings)))
    assert left_out / 400 <= 3 * CHANCE


def _lit(lab: Floats, light: Floats) -> Floats:
    """The error that card and lamp share between skin and pigment: a gain per channel."""
    return linear_to_lab(lab_to_linear(lab) * light)


def _light(skin: Floats) -> Floats:
    """The light under which the usual skin reads as this one does."""
    return lab_to_linear(skin) / lab_to_linear(SKIN)
