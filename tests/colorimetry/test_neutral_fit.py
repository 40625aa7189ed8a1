import numpy as np
import pytest
from hypothesis import given

from tests.properties import numbers, steady, triples
from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.colorimetry.neutral import fit_neutral
from webapp.colorimetry.tone import ToneCurve

GREY = np.array([[49.5, 0.0, 0.0]])
STEPS = np.array([[L, 0.0, 0.0] for L in (94, 80, 66, 50, 36, 22)])
SKIN_AND_INK = np.array([[68.0, 10, 16], [45, 8, 12], [30, 3, 4]])

gains = triples((0.4, 2.5), (0.4, 2.5), (0.4, 2.5))


def photographed(true_lab: Floats, gain: Floats, exponent: float = 1.0, flare: float = 0.0) -> Floats:
    """Give what a camera reads of true colours: the inverse of the correction that has to be found."""
    return (lab_to_linear(true_lab) / gain) ** (1 / exponent) + flare


@given(gain=gains)
@steady
def test_one_grey_gives_back_the_cast_and_the_exposure(gain: Floats) -> None:
    fit = fit_neutral(photographed(GREY, gain), GREY)
    np.testing.assert_allclose(fit.gain, gain)
    np.testing.assert_allclose(linear_to_lab(fit.apply(photographed(SKIN_AND_INK, gain))), SKIN_AND_INK, atol=1e-6)
    assert fit.residual == pytest.approx(0, abs=1e-6)
    assert fit.steps == 1


def test_a_card_that_is_not_quite_neutral_is_taken_at_its_own_colour() -> None:
    card, gain = np.array([[52.0, -1.5, 3.0]]), np.array([1.3, 1.0, 0.8])
    fit = fit_neutral(photographed(card, gain), card)
    np.testing.assert_allclose(fit.gain, gain)


def test_two_greys_that_agree_bend_nothing() -> None:
    two, gain = STEPS[[1, 3]], np.array([1.2, 1.0, 0.8])
    fit = fit_neutral(photographed(two, gain), two)
    np.testing.assert_allclose(fit.gain, gain, rtol=1e-3)
    assert abs(fit.curve.lift) < 1e-3
    assert fit.residual < 0.1


def test_two_greys_that_disagree_are_taken_for_a_tone_curve() -> None:
    """A camera with a lift of 0.15 read on two greys: what lies between them comes out nearer than by one of them."""
    camera, between = ToneCurve(0.15), np.array([[62.0, 10, 14]])
    two = STEPS[[1, 3]]
    both = fit_neutral(camera.apply(lab_to_linear(two)), two)
    one = fit_neutral(camera.apply(lab_to_linear(two[:1])), two[:1])
    seen = camera.apply(lab_to_linear(between))
    assert both.curve.lift > 0.05
    assert delta_e_00(linear_to_lab(both.apply(seen)), between).max() < 1.0
    assert delta_e_00(linear_to_lab(one.apply(seen)), between).max() > 3.0


@given(gain=gains)
@steady
def test_straight_steps_stay_straight(gain: Floats) -> None:
    fit = fit_neutral(photographed(STEPS, gain), STEPS)
    assert abs(fit.curve.lift) < 0.002
    assert abs(fit.flare) < 0.002
    np.testing.assert_allclose(fit.gain, gain, rtol=0.01)
    np.testing.assert_allclose(linear_to_lab(fit.apply(photographed(SKIN_AND_INK, gain))), SKIN_AND_INK, atol=0.1)


@given(gain=triples((0.9, 1.2), (0.9, 1.2), (0.9, 1.2)), exponent=numbers(0.85, 1.2), flare=numbers(0, 0.012))
@steady
def test_steps_undo_an_exponent_and_veiling_light(gain: Floats, exponent: float, flare: float) -> None:
    """A curve of another kind than the fit's own; one grey leaves up to 4 ΔE00 of it."""
    fit = fit_neutral(photographed(STEPS, gain, exponent, flare), STEPS)
    seen = photographed(SKIN_AND_INK, gain, exponent, flare)
    assert delta_e_00(linear_to_lab(fit.apply(seen)), SKIN_AND_INK).max() < 1.5


@given(
    gain=triples((0.8, 1.6), (0.8, 1.6), (0.8, 1.6)),
    lift=numbers(-0.03, 0.22),
    bend=numbers(-0.01, 0.01),
    flare=numbers(0, 0.012),
)
@steady
def test_steps_find_a_tone_curve_and_veiling_light(gain: Floats, lift: float, bend: float, flare: float) -> None:
    camera = ToneCurve(lift, bend)

    def seen(lab: Floats) -> Floats:
        return camera.apply((lab_to_linear(lab) + flare) / gain)

    fit = fit_neutral(seen(STEPS), STEPS)
    assert fit.curve.lift == pytest.approx(lift, abs=0.06)
    assert delta_e_00(linear_to_lab(fit.apply(seen(SKIN_AND_INK))), SKIN_AND_INK).max() < 0.8


def test_steps_put_right_what_one_grey_cannot() -> None:
    gain, exponent, flare = np.array([1.1, 1.0, 0.9]), 1.15, 0.01
    seen = photographed(SKIN_AND_INK, gain, exponent, flare)
    many = fit_neutral(photographed(STEPS, gain, exponent, flare), STEPS).apply(seen)
    one = fit_neutral(photographed(STEPS[[3]], gain, exponent, flare), STEPS[[3]]).apply(seen)
    assert delta_e_00(linear_to_lab(many), SKIN_AND_INK).max() < 0.5
    assert delta_e_00(linear_to_lab(one), SKIN_AND_INK).max() > 2


@given(gain=gains, exponent=numbers(0.7, 1.4), flare=numbers(0, 0.03), bad=numbers(0.5, 1.5))
@steady
def test_a_correction_never_turns_lighter_into_darker(gain: Floats, exponent: float, flare: float, bad: float) -> None:
    readings = photographed(STEPS, gain, exponent, flare)
    readings[2] *= bad
    ramp = np.linspace(0, 1.2, 400)[:, None].repeat(3, axis=1)
    corrected = fit_neutral(readings, STEPS).apply(ramp)
    assert np.all(np.diff(corrected, axis=0) >= 0)
    assert np.all(np.isfinite(corrected))


@pytest.mark.parametrize("bad", range(len(STEPS)))
@pytest.mark.parametrize("factor", [0.7, 1.35])
def test_one_bad_step_does_little_harm(bad: int, factor: float) -> None:
    gain = np.array([1.2, 1.0, 0.85])
    readings = photographed(STEPS, gain)
    readings[bad] *= factor
    fit = fit_neutral(readings, STEPS)
    found = linear_to_lab(fit.apply(photographed(SKIN_AND_INK, gain)))
    # A step at either end that is off looks like a tone curve or veiling light, and is believed to be that.
    at_an_end = bad in (0, len(STEPS) - 1)
    assert delta_e_00(found, SKIN_AND_INK).max() < (2.5 if at_an_end else 0.2)
    assert (bad in fit.used) == at_an_end


def test_steps_left_out_have_no_say() -> None:
    gain = np.array([1.2, 1.0, 0.85])
    readings = photographed(STEPS, gain)
    readings[0] = 1.0
    fit = fit_neutral(readings, STEPS, usable=(1, 2, 3, 4, 5))
    np.testing.assert_allclose(fit.gain, gain, rtol=0.01)
    assert fit.used == (1, 2, 3, 4, 5)
    assert fit.steps == 5


@pytest.mark.parametrize(
    ("readings", "usable"),
    [(np.array([[0.2, 0.0, 0.2]]), None), (np.array([[0.2, 0.2, 0.2]]), ())],
    ids=["no light", "nothing usable"],
)
def test_what_cannot_be_balanced_on_is_refused(readings: Floats, usable: tuple[int, ...] | None) -> None:
    with pytest.raises(ValueError, match=r"to balance the photo|cannot be balanced"):
        fit_neutral(readings, GREY, usable)


def test_pixels_keep_their_precision() -> None:
    fit = fit_neutral(photographed(STEPS, np.ones(3), 1.1), STEPS)
    assert fit.apply(np.full((2, 2, 3), 0.3, np.float32)).dtype == np.float32


def test_a_camera_that_lifts_its_middle_tones_is_followed_and_loses_no_step() -> None:
    """A tone curve such as phones have; no exponent and flare describe it."""

    def phone(light: Floats) -> Floats:
        code = light ** (1 / 2.2)
        return (code - 0.12 * np.sin(2 * np.pi * code) / (2 * np.pi) + 0.06 * np.sin(np.pi * code)) ** 2.2

    fit = fit_neutral(phone(lab_to_linear(STEPS)), STEPS)
    assert fit.steps == len(STEPS)
    found = linear_to_lab(fit.apply(phone(lab_to_linear(SKIN_AND_INK))))
    assert delta_e_00(found, SKIN_AND_INK).max() < 1.0


def test_three_steps_are_met() -> None:
    three = STEPS[[0, 3, 5]]
    readings = photographed(three, np.array([1.2, 1.0, 0.85]), 1.12, 0.01)
    assert delta_e_00(linear_to_lab(fit_neutral(readings, three).apply(readings)), three).max() < 1.0


def test_one_patch_takes_the_photo_at_its_word() -> None:
    fit = fit_neutral(photographed(GREY, np.ones(3)), GREY)
    assert fit.curve == ToneCurve(0, 0)
    assert fit.flare == 0
