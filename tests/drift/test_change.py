import numpy as np
import pytest
from hypothesis import given

from tests.drift.made import PIGMENT, SKIN, faded, measured
from tests.properties import pigment_lab, skin_lab, steady, triples
from webapp.colorimetry.density import density
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.colorimetry.measured import MeasuredColour
from webapp.drift.change import Change, anchor, anchored_spread, compare
from webapp.drift.shrinkage import BLOOD

casts = triples((0.7, 1.4), (0.7, 1.4), (0.7, 1.4))


def under(light: Floats, lab: Floats) -> Floats:
    return linear_to_lab(lab_to_linear(lab) * light)


@given(pigment=pigment_lab, skin=skin_lab)
@steady
def test_anchoring_on_the_same_skin_changes_nothing(pigment: Floats, skin: Floats) -> None:
    np.testing.assert_allclose(anchor(pigment, skin, skin), pigment, atol=1e-6)


@given(light=casts)
@steady
def test_anchoring_takes_away_whatever_acts_on_skin_and_pigment_alike(light: Floats) -> None:
    np.testing.assert_allclose(anchor(under(light, PIGMENT), under(light, SKIN), SKIN), PIGMENT, atol=1e-6)


@given(light=casts)
@steady
def test_a_change_of_light_is_no_anchored_change(light: Floats) -> None:
    comparison = compare(
        measured(PIGMENT), measured(SKIN), measured(under(light, PIGMENT)), measured(under(light, SKIN))
    )
    assert comparison.anchored is not None
    assert comparison.anchored.delta_e == pytest.approx(0, abs=1e-3)
    assert comparison.best is comparison.anchored
    assert not comparison.anchored.real


def test_another_lamp_is_seen_in_the_skin_and_by_the_card_alone() -> None:
    light = np.array([1.25, 1.0, 0.8])
    comparison = compare(
        measured(PIGMENT), measured(SKIN), measured(under(light, PIGMENT)), measured(under(light, SKIN))
    )
    assert comparison.card_only.real
    assert comparison.skin_moved


def test_a_change_of_the_pigment_alone_is_kept() -> None:
    turned = PIGMENT + np.array([0, 8, 9])
    comparison = compare(measured(PIGMENT), measured(SKIN), measured(turned), measured(SKIN))
    assert comparison.anchored is not None
    np.testing.assert_allclose(comparison.anchored.lab, [0, 8, 9], atol=1e-6)
    assert comparison.anchored.real
    assert not comparison.skin_moved


@pytest.mark.parametrize("missing", ["before", "after"])
def test_without_bare_skin_the_card_alone_has_the_word(missing: str) -> None:
    before, after = (None if missing == m else measured(SKIN) for m in ("before", "after"))
    comparison = compare(measured(PIGMENT), before, measured(PIGMENT), after)
    assert comparison.anchored is None
    assert comparison.skin is None
    assert comparison.density is None
    assert comparison.best is comparison.card_only
    assert not comparison.skin_moved


def test_card_only_errors_of_both_photos_add() -> None:
    comparison = compare(measured(PIGMENT, 0.3, 0.4), None, measured(PIGMENT, 0.6, 0.8), None)
    np.testing.assert_allclose(comparison.card_only.sd, np.sqrt(0.5**2 + 1.0**2))


def test_shared_errors_cancel_when_anchored_but_not_by_the_card_alone() -> None:
    sharp, doubtful = (
        compare(*(measured(lab, 0.05, shared) for lab in (PIGMENT, SKIN, PIGMENT, SKIN))) for shared in (0.1, 5.0)
    )
    assert sharp.anchored is not None
    assert doubtful.anchored is not None
    np.testing.assert_allclose(sharp.anchored.covariance, doubtful.anchored.covariance)
    assert doubtful.card_only.sd[0] > 5 * sharp.card_only.sd[0]


def test_the_anchored_spread_is_what_drawn_colours_show() -> None:
    rng = np.random.default_rng(8)
    own, after = np.array([60.0, 13, 15]), np.array([40.0, 9, 10])
    covariance = np.diag([0.2, 0.1, 0.15])
    colours = [MeasuredColour(lab, covariance, np.zeros((3, 3)), 100) for lab in (after, own, SKIN)]
    drawn = [rng.multivariate_normal(c.lab, covariance, 20_000) for c in colours]
    seen = np.cov(anchor(*drawn).T)
    np.testing.assert_allclose(anchored_spread(*colours), seen, rtol=0.06, atol=0.01)


def test_density_lost_is_told_with_its_error() -> None:
    comparison = compare(measured(PIGMENT), measured(SKIN), measured(faded(0.6)), measured(SKIN))
    assert comparison.density is not None
    full = float(density(PIGMENT, SKIN))
    assert comparison.density.before == pytest.approx(full)
    assert comparison.density.step == pytest.approx(-0.4 * full, rel=0.05)
    assert 0 < comparison.density.sd < 0.2


def test_the_error_of_density_is_what_drawn_colours_show_beyond_the_cameras_floor() -> None:
    def spoilt(lab: Floats, spread: float) -> MeasuredColour:
        return measured(lab, spread, 0.0)

    sharp, blurred = (compare(*(spoilt(c, s) for c in (PIGMENT, SKIN) * 2)).density for s in (1e-6, 0.5))
    assert sharp is not None
    assert blurred is not None
    rng = np.random.default_rng(2)
    one, other, third, fourth = (lab + rng.normal(0, 0.5, (20_000, 3)) for lab in (PIGMENT, SKIN) * 2)
    seen = np.std(density(third, fourth) - density(one, other))
    assert np.sqrt(blurred.sd**2 - sharp.sd**2) == pytest.approx(seen, rel=0.05)


def test_the_parts_of_a_change_are_those_of_its_two_colours() -> None:
    change = Change(np.array([40.0, 3, 4]), np.array([44.0, 6, 8]), np.diag([0.1, 0.2, 0.3]))
    assert change.chroma == pytest.approx(5)
    assert change.hue == pytest.approx(0, abs=1e-9)
    assert change.warmth == pytest.approx(3 * np.cos(np.radians(50)) + 4 * np.sin(np.radians(50)))
    expected = np.sqrt(0.2 * np.cos(np.radians(50)) ** 2 + 0.3 * np.sin(np.radians(50)) ** 2)
    assert change.warmth_sd == pytest.approx(expected)
    np.testing.assert_allclose(change.sd, np.sqrt([0.1, 0.2, 0.3]))


@given(step=triples((-8, 8), (-8, 8), (-8, 8)))
@steady
def test_the_limit_and_the_verdict_agree(step: Floats) -> None:
    change = Change(PIGMENT, PIGMENT + step, np.diag([1.4, 1.3, 2.2]))
    if abs(change.delta_e - change.limit) > 1e-6:
        assert change.real == (change.delta_e > change.limit)


def test_a_change_of_the_skin_alone_is_not_turned_into_drift_as_anchoring_does() -> None:
    """Redness beside the work, twice what the card is unsure by: the work itself has not changed."""
    red = linear_to_lab(lab_to_linear(SKIN) * np.exp(-0.3 * BLOOD))
    comparison = compare(measured(PIGMENT), measured(SKIN), measured(PIGMENT), measured(red))
    assert comparison.anchored is not None
    assert comparison.believed is not None
    assert comparison.anchored.delta_e > 4
    assert comparison.believed.delta_e < 0.4 * comparison.anchored.delta_e
    assert comparison.skin_share is not None
    assert comparison.skin_share > 0.6


def test_where_the_skin_stays_the_believed_change_is_the_anchored_one() -> None:
    turned = PIGMENT + np.array([0, 6, 5])
    comparison = compare(measured(PIGMENT), measured(SKIN), measured(turned), measured(SKIN))
    assert comparison.anchored is not None
    assert comparison.believed is not None
    np.testing.assert_allclose(comparison.believed.after, comparison.anchored.after, atol=1e-6)
    assert np.all(comparison.believed.sd >= comparison.anchored.sd - 0.1)
