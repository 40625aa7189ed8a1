import io

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from tests.photo.scene import Scene
from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import DISPLAY_P3, SRGB
from webapp.colorimetry.lab import linear_to_lab
from webapp.photo.preview import balanced_crop, counted_crop, crop_box, original_crop, whole_picture
from webapp.photo.read import Photo


def opened(content: bytes) -> NDArray[np.uint8]:
    return np.asarray(Image.open(io.BytesIO(content)).convert("RGB"))


def lab_at(picture: NDArray[np.uint8], down: float, across: float) -> NDArray[np.floating]:
    """The mean colour of a small spot at a share of a picture's height and width."""
    row, column = round(down * picture.shape[0]), round(across * picture.shape[1])
    spot = picture[row - 3 : row + 4, column - 3 : column + 4].reshape(-1, 3)
    return np.asarray(linear_to_lab(SRGB.decode(spot / 255).mean(axis=0)))


def test_the_whole_picture_carries_no_note_of_the_camera() -> None:
    content = whole_picture(Scene(size=0.5).photo)
    image = Image.open(io.BytesIO(content))
    assert image.format == "JPEG"
    assert not image.getexif()
    assert "icc_profile" not in image.info


def test_a_large_photo_is_made_smaller_in_its_own_shape() -> None:
    scene = Scene(size=0.5)
    large = np.kron(scene.pixels, np.ones((14, 14, 1), np.uint8))
    picture = opened(whole_picture(Photo(large, SRGB, None)))
    assert max(picture.shape) <= 2400
    assert picture.shape[1] / picture.shape[0] == pytest.approx(scene.shape[1] / scene.shape[0], rel=0.01)


def test_a_wide_photo_is_shown_in_srgb() -> None:
    narrow, wide = (opened(whole_picture(Scene(encoding=e).photo)) for e in (SRGB, DISPLAY_P3))
    assert delta_e_00(lab_at(narrow, 0.9, 0.5), lab_at(wide, 0.9, 0.5)) < 0.7


def test_a_crop_holds_the_outline_in_one_shape_for_all() -> None:
    scene = Scene()
    box = crop_box(scene.photo, scene.outline)
    assert box.left <= scene.outline[:, 0].min()
    assert box.right >= scene.outline[:, 0].max()
    assert box.top <= scene.outline[:, 1].min()
    assert box.bottom >= scene.outline[:, 1].max()
    other = Scene(size=0.5)
    shapes = {opened(original_crop(s.photo, s.outline)).shape for s in (scene, other)}
    assert len(shapes) == 1


def test_a_balanced_crop_shows_the_skins_true_colour_under_any_light() -> None:
    for light in ((1.0, 1.0, 1.0), (1.2, 1.0, 0.7), (0.5, 0.5, 0.5)):
        scene = Scene(light=light)
        picture = opened(balanced_crop(scene.photo, scene.outline, scene.measured().fit))
        assert delta_e_00(lab_at(picture, 0.92, 0.5), np.array(scene.skin)) < 1.5
    untouched = opened(original_crop(scene.photo, scene.outline))
    assert delta_e_00(lab_at(untouched, 0.92, 0.5), np.array(scene.skin)) > 10


def test_the_counted_crop_marks_what_was_counted_and_nothing_else() -> None:
    scene = Scene()
    measured = scene.measured()
    marked = opened(counted_crop(scene.photo, scene.outline, measured.fit, measured.region))
    plain = opened(balanced_crop(scene.photo, scene.outline, measured.fit))
    touched = np.abs(marked.astype(int) - plain).max(axis=2) > 60
    assert 0.03 < touched.mean() < 0.5
    assert not touched[:5].any(), "far from the work nothing is counted"
    assert np.all(np.abs(marked[~touched].astype(int) - plain[~touched]) < 60)
