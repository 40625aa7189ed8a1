"""Sheen drawn as white light over skin of one colour: what is added is known at every pixel."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from tests.photo.scene import Scene
from webapp.photo.region import Region
from webapp.photo.sheen import sheen

SKIN = np.array([0.20, 0.11, 0.06])


def region(glints: float) -> Region:
    """The region of a scene, with a share of the ring turned to glints."""
    made = Scene().measured().region
    chance = np.random.default_rng(8).uniform(size=made.bare.shape) < glints
    return replace(made, glare=made.bare & chance, bare=made.bare & ~chance)


def lit(made: Region, added: np.ndarray, seed: int = 2) -> np.ndarray:
    shading = np.exp(0.05 * np.random.default_rng(seed).normal(size=made.bare.shape))
    return (SKIN * shading[..., None] + added[..., None]).astype(np.float32)


def slope(made: Region, height: float) -> np.ndarray:
    return np.broadcast_to(np.linspace(0, height, made.bare.shape[1]), made.bare.shape)


def test_sheen_that_the_ring_shows_is_found_in_the_work_too() -> None:
    made = region(0.1)
    added = slope(made, 0.06)
    found = sheen(lit(made, added), made)
    middle = np.median(added[made.bare])
    inside = made.outlined & (gaussian_filter(made.outlined.astype(float), 3) > 0.5)
    np.testing.assert_allclose(found[inside], added[inside] - middle, atol=0.012)


@pytest.mark.parametrize("glints", [0.0, 0.005])
def test_without_glints_pale_skin_is_no_sheen(glints: float) -> None:
    made = region(glints)
    assert not sheen(lit(made, slope(made, 0.06)), made).any()


def test_even_skin_with_glints_keeps_its_colour() -> None:
    made = region(0.1)
    assert np.abs(sheen(lit(made, np.zeros(made.bare.shape)), made)).max() < 0.004


def test_shading_is_no_sheen() -> None:
    made = region(0.1)
    shaded = lit(made, np.zeros(made.bare.shape)) * np.exp(slope(made, 0.6))[..., None].astype(np.float32)
    assert np.abs(sheen(shaded, made)).max() < 0.004


def test_a_swatch_or_an_outline_without_skin_has_none() -> None:
    made = region(0.1)
    bare = replace(made, bare=np.zeros_like(made.bare))
    assert not sheen(lit(made, slope(made, 0.06)), bare).any()
