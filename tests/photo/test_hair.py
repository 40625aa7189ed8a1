"""Eyeliner drawn in ln of light, with lashes that hang out of it: what is hair is known pixel by pixel."""

import numpy as np
import pytest
from PIL import Image, ImageDraw
from scipy.ndimage import distance_transform_edt, gaussian_filter

from webapp.photo.hair import find_hair
from webapp.photo.polygon import Mask

SHAPE = (160, 520)
LINER = slice(70, 100), slice(40, 480)


def lashes(count: int, start: int, end: int, width: int = 2) -> Mask:
    image = Image.new("1", SHAPE[::-1])
    draw = ImageDraw.Draw(image)
    for x in np.linspace(60, 460, count):
        draw.line([(x, start), (x + 9, end)], fill=1, width=width)
    return np.asarray(image)


def seen(hair: Mask, contrast: float, seed: int = 5) -> tuple[np.ndarray, Mask]:
    """Liner at a third of the skin's light, hairs darker than it by `contrast`; and the mask of its outline."""
    light = np.full(SHAPE, np.log(0.35))
    outlined = np.zeros(SHAPE, bool)
    outlined[LINER] = True
    light[outlined] = np.log(0.11)
    light = np.where(hair, np.minimum(light, np.log(0.11) - contrast), light)
    light = gaussian_filter(light, 0.6) + 0.015 * np.random.default_rng(seed).normal(size=SHAPE)
    return light.astype(np.float32), outlined


def found(light: np.ndarray, outlined: Mask) -> Mask:
    return find_hair(light, outlined, distance_transform_edt(~outlined), 440.0, 30.0)


@pytest.mark.parametrize("contrast", [0.4, 0.7, 1.2])
@pytest.mark.parametrize("count", [12, 30])
def test_lashes_that_leave_the_liner_are_followed_into_it(contrast: float, count: int) -> None:
    drawn = lashes(count, 78, 140)
    light, outlined = seen(drawn, contrast)
    hair = found(light, outlined)
    core = drawn & outlined
    core[:80] = False  # the blurred tips
    assert hair[core].mean() > 0.85
    assert np.mean(hair & outlined) < 4 * np.mean(drawn & outlined), "liner between lashes stays"


@pytest.mark.parametrize("contrast", [0.3, 0.36])
def test_dark_lines_that_stay_in_the_work_are_pigment(contrast: float) -> None:
    """Strokes laid with a fine needle, as faint against the liner as a lash: they end where the work ends."""
    light, outlined = seen(lashes(14, 74, 96), contrast)
    assert (found(light, outlined) & outlined).mean() < 0.002


def test_a_stroke_that_runs_over_the_outline_by_a_little_is_no_lash() -> None:
    light, outlined = seen(lashes(14, 76, 104), 0.3)
    assert (found(light, outlined) & outlined)[:96].mean() < 0.002


@pytest.mark.parametrize("flat", [np.zeros(SHAPE, np.float32), np.full(SHAPE, -3.0, np.float32)])
def test_an_even_field_has_no_hair(flat: np.ndarray) -> None:
    outlined = np.zeros(SHAPE, bool)
    outlined[LINER] = True
    assert not found(flat, outlined).any()
