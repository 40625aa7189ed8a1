from functools import cache

import numpy as np
import pytest
from PIL import Image

from webapp.colorimetry.encodings import SRGB
from webapp.photo.carry_over import carry_over, find_landmarks
from webapp.photo.read import Photo

WIDTH, HEIGHT = 640, 480
OUTLINE = np.array([[190, 250], [260, 205], [350, 200], [450, 240], [350, 232], [260, 240], [200, 275]], dtype=float)


@cache
def face(seed: int = 1) -> Photo:
    """Skin with marks and a brow of strokes that no other seed has."""
    rng = np.random.default_rng(seed)
    pixels = np.full((HEIGHT, WIDTH, 3), (200.0, 160, 135)) + rng.normal(0, 2, (HEIGHT, WIDTH, 1))
    rows, columns = np.mgrid[:HEIGHT, :WIDTH]
    for _ in range(260):
        x, y, r = rng.uniform(40, 600), rng.uniform(60, 440), rng.uniform(2, 7)
        pixels *= 1 - rng.uniform(0.1, 0.4) * np.exp(-(((columns - x) ** 2 + (rows - y) ** 2) / r**2))[..., None]
    return Photo(np.clip(pixels, 0, 255).astype(np.uint8), SRGB, None)


def seen_again(photo: Photo, matrix: np.ndarray, shift: tuple[float, float], light: float = 1.0) -> Photo:
    """The same face in another photo: a place p comes to lie at matrix · p + shift."""
    back = np.linalg.inv(matrix)
    offset = -back @ shift
    how = (*back[0], offset[0], *back[1], offset[1])
    moved = Image.fromarray(np.asarray(photo.pixels)).transform(
        (WIDTH, HEIGHT), Image.Transform.AFFINE, how, Image.Resampling.BICUBIC, fillcolor=(200, 160, 135)
    )
    return Photo(np.clip(np.asarray(moved) * light, 0, 255).astype(np.uint8), SRGB, None)


def turned(degrees: float, size: float = 1.0) -> np.ndarray:
    c, s = size * np.cos(np.radians(degrees)), size * np.sin(np.radians(degrees))
    return np.array([[c, -s], [s, c]])


@pytest.mark.parametrize(
    ("degrees", "size", "shift", "light"),
    [(0, 1.0, (14, -9), 1.0), (9, 0.9, (60, -10), 0.7), (-12, 1.1, (-60, 60), 1.15)],
)
def test_the_outline_follows_the_face(degrees: float, size: float, shift: tuple[float, float], light: float) -> None:
    matrix = turned(degrees, size)
    carried = carry_over(find_landmarks(face()), OUTLINE, find_landmarks(seen_again(face(), matrix, shift, light)))
    assert carried is not None
    off = np.linalg.norm(carried.outline - (OUTLINE @ matrix.T + shift), axis=1)
    length = np.hypot(*np.ptp(OUTLINE, axis=0)) * size
    assert off.max() < 0.02 * length
    assert np.mean(off / length <= carried.within) >= 0.8
    assert carried.within < 0.05
    assert 14 <= carried.agreeing <= carried.matched


def test_the_same_photos_give_the_same_outline() -> None:
    again = find_landmarks(seen_again(face(), turned(5), (10, 10)))
    first, second = (carry_over(find_landmarks(face()), OUTLINE, again) for _ in range(2))
    assert first is not None
    assert second is not None
    assert np.array_equal(first.outline, second.outline)


@pytest.mark.parametrize(
    "other",
    [
        face(2),
        Photo(np.full((HEIGHT, WIDTH, 3), 150, np.uint8), SRGB, None),
        seen_again(face(), turned(180), (WIDTH, HEIGHT)),
        seen_again(face(), np.diag([-1.0, 1.0]), (WIDTH, 0)),
        seen_again(face(), turned(0), (330, 0)),
    ],
    ids=["another face", "nothing to see", "upside down", "mirrored", "the work out of the photo"],
)
def test_nothing_is_offered_where_it_cannot_be_sure(other: Photo) -> None:
    assert carry_over(find_landmarks(face()), OUTLINE, find_landmarks(other)) is None


def test_nothing_on_a_card_or_beside_it_counts() -> None:
    card = np.array([[200.0, 100], [400, 100], [400, 200], [200, 200]])
    inside = np.all((card.min(axis=0) < (p := find_landmarks(face()).points)) & (p < card.max(axis=0)), axis=1)
    assert inside.any()
    left = find_landmarks(face(), [card]).points
    assert not np.any(np.all((left > card.min(axis=0) - 60) & (left < card.max(axis=0) + 60), axis=1))
    assert len(left) > 0


def test_a_large_photo_gives_places_in_its_own_pixels() -> None:
    large = Image.fromarray(np.asarray(face().pixels)).resize((WIDTH * 4, HEIGHT * 4), Image.Resampling.BICUBIC)
    photo = Photo(np.asarray(large), SRGB, None)
    carried = carry_over(find_landmarks(face()), OUTLINE, find_landmarks(photo))
    assert carried is not None
    assert np.abs(carried.outline - OUTLINE * 4).max() < 16
