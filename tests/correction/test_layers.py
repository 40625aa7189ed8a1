import numpy as np
from hypothesis import given

from tests.properties import skin_lab, steady, triples
from webapp.colorimetry.density import density
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear
from webapp.correction.layers import LUMINANCE, absorbance, colour_of_layer, depth, through

taken = triples((0, 1.2), (0, 1.2), (0, 1.2))


@given(skin=skin_lab, one=taken, other=taken)
@steady
def test_layers_add_up_in_any_order(skin: Floats, one: Floats, other: Floats) -> None:
    np.testing.assert_allclose(through(through(skin, one), other), through(skin, one + other), atol=1e-9)
    np.testing.assert_allclose(through(through(skin, other), one), through(skin, one + other), atol=1e-9)


@given(skin=skin_lab, layer=taken)
@steady
def test_what_was_put_on_is_what_is_read_off(skin: Floats, layer: Floats) -> None:
    np.testing.assert_allclose(absorbance(through(skin, layer), skin), layer, atol=1e-6)


@given(skin=skin_lab, layer=taken)
@steady
def test_a_layer_never_makes_lighter(skin: Floats, layer: Floats) -> None:
    assert through(skin, layer)[0] <= skin[0] + 1e-9


def test_a_layer_of_depth_one_halves_a_grey_1_44_times() -> None:
    """exp(−1) of the light: a grey of linear 0.5 comes to 0.184."""
    grey = through(np.array([76.0693, 0, 0]), np.ones(3))
    np.testing.assert_allclose(lab_to_linear(grey), 0.5 * np.exp(-1), rtol=1e-3)
    assert depth(np.ones(3)) == LUMINANCE.sum()
    assert abs(LUMINANCE.sum() - 1) < 1e-9


@given(layer=triples((0.4, 1.2), (0.4, 1.2), (0.4, 1.2)))
@steady
def test_depth_is_near_the_density_that_is_seen(layer: Floats) -> None:
    """Within a quarter, for layers whose channels lie within a factor of three, as pigment's do."""
    skin = np.array([66.0, 11.0, 17.0])
    assert abs(float(depth(layer)) - float(density(through(skin, layer), skin))) <= 0.25 * float(depth(layer))
    np.testing.assert_allclose(depth(colour_of_layer(layer)), 1)
