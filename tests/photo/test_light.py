import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.photo.scene import STRIP, Scene
from webapp.colorimetry.difference import delta_e_00
from webapp.photo.light import Gradient, gradient, light_course

WHOLE = np.ones((60, 120), bool)
SURE = np.eye(2) * 1e-10
CARD, WORK = np.array([[100.0, 50]]), np.array([100.0, 450])


def drawn(slope: np.ndarray, noise: float = 0.01, seed: int = 3) -> np.ndarray:
    """A grey area whose ln of light rises by (3, 2) slopes a pixel."""
    rows, columns = np.mgrid[:60, :120]
    ln = columns[..., None] * slope[:, 0] + rows[..., None] * slope[:, 1] - 1.7
    return np.exp(ln + noise * np.random.default_rng(seed).normal(size=ln.shape)).astype(np.float32)


@given(st.lists(st.floats(-1e-3, 1e-3), min_size=6, max_size=6))
def test_the_gradient_that_was_drawn_is_found(values: list[float]) -> None:
    slope = np.array(values).reshape(3, 2)
    found = gradient(drawn(slope), WHOLE)
    np.testing.assert_allclose(found.slope, slope, atol=1e-4)
    assert np.all(np.linalg.eigvalsh(found.error) > 0)


def test_a_speck_on_the_card_changes_nothing() -> None:
    slope = np.tile([2e-4, -3e-4], (3, 1))
    spotted = drawn(slope)
    spotted[5:12, 100:110] *= 0.5
    np.testing.assert_allclose(gradient(spotted, WHOLE).slope, slope, atol=1e-4)


@pytest.mark.parametrize("shape", [(1, 1), (1, 40), (2, 2), (40, 1)])
def test_too_small_a_patch_says_nothing_and_is_not_sure_of_it(shape: tuple[int, int]) -> None:
    found = gradient(np.full((*shape, 3), 0.2, np.float32), np.ones(shape, bool))
    np.testing.assert_array_equal(found.slope, 0)
    assert np.linalg.eigvalsh(found.error).min() > 0


def test_light_is_carried_on_in_a_straight_line_from_card_to_work() -> None:
    course = light_course([Gradient(np.tile([0.0, 2e-4], (3, 1)), SURE)], CARD, 200.0, WORK)
    np.testing.assert_allclose(course.change, 0.08, rtol=0.01)
    assert course.sd == pytest.approx(0.08 / 3, rel=0.05)
    across = light_course([Gradient(np.tile([5e-3, 0.0], (3, 1)), SURE)], CARD, 200.0, WORK)
    np.testing.assert_allclose(across.change, 0, atol=1e-9)


def test_of_an_unsure_gradient_little_is_believed_and_its_error_is_counted() -> None:
    unsure = light_course([Gradient(np.tile([0.0, 2e-4], (3, 1)), np.eye(2) * 1e-6)], CARD, 200.0, WORK)
    assert 0 < unsure.change.mean() < 0.01
    assert unsure.sd > 0.06


@given(st.floats(-10, 10), st.floats(1e-14, 1))
def test_a_wild_gradient_stays_within_reason(slope: float, error: float) -> None:
    course = light_course([Gradient(np.full((3, 2), slope), np.eye(2) * error)], CARD, 200.0, WORK)
    assert np.abs(course.change).max() <= 0.2
    assert 0 <= course.sd <= 0.2


def test_patches_join_by_their_errors() -> None:
    right, wrong = Gradient(np.tile([0.0, 2e-4], (3, 1)), SURE), Gradient(np.full((3, 2), 1e-2), np.eye(2) * 1e-4)
    joined = light_course([right, wrong], np.repeat(CARD, 2, axis=0), 200.0, WORK)
    np.testing.assert_allclose(joined.change, 0.08, rtol=0.05)


@pytest.mark.parametrize("change", [-0.3, -0.15, 0.15, 0.3])
def test_light_that_falls_off_from_card_to_skin_is_taken_out(change: float) -> None:
    measured, even = Scene(light_change=change).measured(), Scene().measured()
    for found, true in ((measured.skin, even.skin), (measured.pigment, even.pigment)):
        assert found is not None
        assert true is not None
        assert delta_e_00(found.lab, true.lab) < 0.6


@pytest.mark.parametrize("change", [0.1, 0.2, 0.3])
def test_light_of_two_kinds_is_taken_out_as_far_as_the_card_shows_it(change: float) -> None:
    """Uncorrected the skin would come out 2 to 7 ΔE00 off."""
    measured, even = Scene(tint_change=change).measured(), Scene().measured()
    assert measured.skin is not None
    assert even.skin is not None
    assert delta_e_00(measured.skin.lab, even.skin.lab) < 1.0
    assert any("changes its colour from one end of the card" in r.sentence for r in measured.quality.reasons)


@pytest.mark.parametrize("scene", [Scene(), Scene(steps=STRIP), Scene(noise=0.05), Scene(steps=STRIP, noise=0.03)])
def test_even_light_is_left_as_it_is(scene: Scene) -> None:
    measured = scene.measured()
    assert measured.skin is not None
    assert delta_e_00(measured.skin.lab, np.array(scene.skin)) < 0.4
    assert not any("colour from one end" in r.sentence for r in measured.quality.reasons)


def test_a_short_card_says_little_of_far_away() -> None:
    near, far = (
        light_course([Gradient(np.tile([0.0, 2e-4], (3, 1)), SURE)], CARD, extent, WORK).change.mean()
        for extent in (200.0, 50.0)
    )
    assert 0 < far < near / 4
