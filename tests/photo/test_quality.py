"""Each reason of a photo's quality is brought about by a scene made for it, and by no sound scene."""

import numpy as np
import pytest

from tests.photo.scene import GREY, STRIP, Scene
from webapp.photo.card import Patch
from webapp.photo.measure import Measurement, measure
from webapp.photo.quality import Quality, Reason, grade_photo

WHITE = ((93.0, 0.0, 0.0),)
SOUND = {
    "plain": Scene(),
    "steps": Scene(steps=STRIP),
    "hair and a little shine": Scene(hairs=15, hair_width=1, shine=0.04),
    "hair strokes": Scene(strokes=30),
    "dark skin": Scene(skin=(38, 11, 15), pigment=(26, 6, 7)),
    "fair skin": Scene(skin=(76, 9, 14), pigment=(55, 8, 11), light=(0.9, 0.9, 0.9)),
    "a mild cast": Scene(light=(1.1, 1.0, 0.85)),
    "light that falls off a little": Scene(light_change=0.1),
}
SPOILT = {
    "the card is clipped": (Scene(steps=WHITE, light=(1.35, 1.35, 1.35)), "retake", "so bright that the camera cut"),
    "one step is clipped": (Scene(steps=STRIP, light=(1.4, 1.4, 1.4)), "usable", "1 of 6 card steps"),
    "the card is black": (Scene(light=(0.07, 0.07, 0.07)), "retake", "almost black"),
    "the card is dark": (Scene(light=(0.25, 0.25, 0.25)), "usable", "card is dark"),
    "a shadow on the card": (Scene(shadow=0.4), "retake", "not one even grey"),
    "uneven light on the card": (Scene(light_change=0.5), "usable", "light on the card is uneven"),
    "a strong cast": (Scene(light=(1.2, 0.9, 0.7)), "usable", "strong colour cast"),
    "a very strong cast": (Scene(light=(1.3, 0.8, 0.5)), "retake", "very strong colour cast"),
    "steps that disagree": (Scene(steps=STRIP, shadow=0.4), "usable", "do not fit together"),
    "a small work": (Scene(size=0.22), "usable", "small in the photo"),
    "too small a work": (Scene(size=0.1), "retake", "too small in the photo"),
    "some shine": (Scene(shine=0.15), "usable", "Shine covers part"),
    "much shine": (Scene(shine=0.5), "retake", "Shine hides much"),
    "no pigment": (Scene(ink=0.0), "usable", "Hardly any pigment"),
    "a little blurred": (Scene(blur=3, noise=0.003), "usable", "blurred"),
    "more blurred": (Scene(blur=5, noise=0.003), "usable", "blurred"),
    "very blurred": (Scene(blur=9, noise=0.003), "usable", "blurred"),
    "mixed light": (Scene(tint_change=0.5), "usable", "light of two kinds"),
    "skin of an impossible colour": (Scene(skin=(60, -8, -12), pigment=(40, -4, -6)), "retake", "skin does not have"),
}


def says(measured: Measurement, words: str) -> bool:
    return any(words in reason.sentence for reason in measured.quality.reasons)


@pytest.mark.parametrize("name", SOUND)
def test_a_sound_photo_is_good(name: str) -> None:
    quality = SOUND[name].measured().quality
    assert quality == Quality("good", ()), [r.sentence for r in quality.reasons]


@pytest.mark.parametrize("name", SPOILT)
def test_a_spoilt_photo_says_what_is_wrong(name: str) -> None:
    scene, grade, words = SPOILT[name]
    measured = scene.measured()
    reason = next((r for r in measured.quality.reasons if words in r.sentence), None)
    assert reason is not None, [r.sentence for r in measured.quality.reasons]
    assert reason.grade == grade
    assert reason.sentence[0].isupper() or reason.sentence[0].isdigit()
    assert reason.sentence.endswith(".")


def with_steps(lightnesses: tuple[float, ...]) -> Measurement:
    """Measure a strip that is said to have other lightnesses than it has (92, 78, 64, 49.5, 35, 22)."""
    scene = Scene(steps=STRIP)
    patches = [Patch(p.corners, np.array([L, 0.0, 0.0])) for p, L in zip(scene.patches, lightnesses, strict=True)]
    return measure(scene.photo, scene.outline, patches)


def test_one_step_that_its_neighbours_contradict_is_left_out_and_said_so() -> None:
    measured = with_steps((92, 66, 64, 49.5, 35, 22))
    assert measured.quality.grade == "usable"
    assert says(measured, "1 card step does not fit its neighbours")
    assert measured.fit.used == (0, 2, 3, 4, 5)


@pytest.mark.parametrize("shadow", [0.8, 0.6])
def test_a_shadow_over_half_the_strip_is_no_tone_curve(shadow: float) -> None:
    """The pigment comes out 4 to 9 too light in L*, which nothing else in the photo gives away."""
    measured = Scene(steps=STRIP, shadow=shadow).measured()
    off = np.abs(measured.pigment.lab[0] - Scene(steps=STRIP).measured().pigment.lab[0])
    assert off < 1.5 or measured.quality.grade != "good"


def test_steps_in_the_wrong_order_do_not_fit_together() -> None:
    measured = with_steps((78, 92, 49.5, 64, 22, 35))
    assert measured.quality.grade == "retake"
    assert says(measured, "do not fit together")


def test_a_box_over_the_cards_edge_is_no_even_grey() -> None:
    """A quarter of the box lies on skin, which puts L* off by four: that must not be good."""
    scene = Scene()
    over_the_edge = [Patch(scene.card + np.array([0, 38]), np.array(GREY))]
    measured = measure(scene.photo, scene.outline, over_the_edge)
    assert measured.quality.grade == "retake"
    assert says(measured, "box covers more than the card")


def test_a_box_over_the_short_edge_of_the_card_is_no_even_grey() -> None:
    scene = Scene()
    over_the_edge = [Patch(scene.card + np.array([125, 0]), np.array(GREY))]
    measured = measure(scene.photo, scene.outline, over_the_edge)
    assert measured.quality.grade == "retake"
    assert says(measured, "box covers more than the card")


def test_a_box_a_few_pixels_beyond_the_card_does_no_harm() -> None:
    scene = Scene()
    wider = [Patch(scene.card + 4 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]), np.array(GREY))]
    assert measure(scene.photo, scene.outline, wider).quality.grade == "good"


def test_a_box_on_skin_makes_the_skin_grey_and_is_noticed() -> None:
    scene = Scene()
    on_skin = np.array([[200.0, 450], [600, 450], [600, 540], [200, 540]])
    measured = measure(scene.photo, scene.outline, [Patch(on_skin, np.array(GREY))])
    assert measured.quality.grade == "retake"
    assert says(measured, "Check that the box lies on the card's grey")


def test_where_the_outline_fills_the_photo_no_bare_skin_is_found() -> None:
    scene = Scene()
    bottom, right = scene.shape
    whole = np.array([[0.0, 0], [right, 0], [right, bottom], [0, bottom]])
    measured = measure(scene.photo, whole, scene.patches)
    assert measured.skin is None
    assert says(measured, "No bare skin")


def test_a_swatch_is_not_judged_as_skin() -> None:
    scene = Scene(skin=(60, -8, -12), pigment=(40, -4, -6))
    measured = measure(scene.photo, scene.outline, scene.patches, swatch=True)
    assert measured.quality.grade == "good"


def test_the_worst_reason_decides_and_comes_first() -> None:
    mild, bad = Reason("usable", "Mild."), Reason("retake", "Bad.")
    assert grade_photo([]).grade == "good"
    assert grade_photo([mild]).grade == "usable"
    assert grade_photo([mild, bad]) == Quality("retake", (bad, mild))
