import numpy as np
import pytest
from hypothesis import given

from tests.drift.made import PIGMENT, SKIN, WARM, YEAR, cycle_of, faded, reading, series_of
from tests.properties import numbers, steady
from webapp.colorimetry.density import density
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.colorimetry.warmth import warmth
from webapp.drift.series import faded_colour, make_series


def test_there_is_no_series_without_a_baseline() -> None:
    assert make_series(cycle_of([reading(0.2), reading(0.6)])) == ()


def test_points_come_in_time_with_their_state() -> None:
    readings = [reading(8), reading(0.4), reading(2), reading(5, sound=False)]
    points = make_series(cycle_of(readings))
    assert [p.state for p in points] == ["healing", "healed", "set aside", "healed"]
    assert [p.months for p in points] == pytest.approx([0.4, 2, 5, 8], abs=0.02)


def test_the_baseline_does_not_differ_from_itself() -> None:
    first = series_of(lambda _: PIGMENT)[0]
    np.testing.assert_allclose(first.lab, PIGMENT)
    assert first.comparison.best.delta_e == pytest.approx(0, abs=1e-6)
    assert first.own_warmth == pytest.approx(0, abs=1e-6)


def test_every_point_is_anchored_on_the_baselines_skin() -> None:
    light = np.array([1.2, 1.0, 0.85])

    def lit(lab: np.ndarray, months: float) -> np.ndarray:
        return linear_to_lab(lab_to_linear(lab) * light ** (months / 5))

    for point in series_of(lambda m: lit(PIGMENT, m), skin=lambda m: lit(SKIN, m)):
        np.testing.assert_allclose(point.lab, lit(PIGMENT, YEAR[0]), atol=1e-3)


@given(share=numbers(0.2, 1.0))
@steady
def test_what_merely_fades_turns_no_warmer_of_its_own(share: float) -> None:
    last = series_of(lambda m: faded(1 if m == YEAR[0] else share))[-1]
    assert last.own_warmth == pytest.approx(0, abs=0.3)
    assert last.density == pytest.approx(float(density(faded(share), SKIN)))


def test_what_turns_warm_without_fading_turns_so_of_its_own() -> None:
    last = series_of(lambda m: PIGMENT + WARM * (m - YEAR[0]) * 0.5)[-1]
    assert last.own_warmth == pytest.approx(0.5 * (YEAR[-1] - YEAR[0]), abs=0.2)


def test_fading_alone_makes_a_cool_brow_look_warmer() -> None:
    """Why the pigment's own shift is told apart: skin is warm, and shows through."""
    grey = np.array([38.0, 0.0, 1.0])
    last = series_of(lambda m: faded(1 if m == YEAR[0] else 0.5, pigment=grey))[-1]
    assert warmth(last.lab) - warmth(grey) > 5
    assert last.own_warmth == pytest.approx(0, abs=0.3)


@given(left=numbers(0.05, 0.9))
@steady
def test_a_faded_colour_has_about_the_density_asked_for(left: float) -> None:
    assert density(faded_colour(PIGMENT, SKIN, left), SKIN) == pytest.approx(left, abs=0.03)


def test_a_work_without_pigment_cannot_fade() -> None:
    np.testing.assert_array_equal(faded_colour(SKIN, SKIN, 0.3), SKIN)


def test_without_bare_skin_all_warmth_counts_as_its_own() -> None:
    points = series_of(lambda _: PIGMENT, skin=lambda _: None)
    assert all(p.density is None and p.faded_warmth is None for p in points)
    assert points[0].own_warmth == pytest.approx(float(warmth(PIGMENT)))


def test_anchored_points_are_surer_than_what_the_card_alone_says() -> None:
    anchored, card_only = (series_of(lambda _: PIGMENT, skin=s)[-1] for s in (lambda _: SKIN, lambda _: None))
    assert card_only.comparison.best.limit > 0
    assert anchored.density_sd is not None
    assert anchored.density_sd > 0


def test_among_anchored_photos_one_without_skin_is_set_aside() -> None:
    """By the card alone it would be of another kind, and would look like a leap in warmth."""
    points = series_of(lambda _: PIGMENT, skin=lambda m: SKIN if m != YEAR[-1] else None)
    assert [p.state for p in points] == ["healed"] * (len(YEAR) - 1) + ["set aside"]
    bare = series_of(lambda _: PIGMENT, skin=lambda _: None)
    assert {p.state for p in bare} == {"healed"}
