import numpy as np
import pytest

from tests.photo.scene import GREY, STRIP, Scene
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear
from webapp.photo.card import Patch, PatchReading, divide_strip, in_card_order, read_patches
from webapp.photo.polygon import MarkUnusable
from webapp.photo.read import Photo

BOX = np.array([[0.0, 0], [120, 0], [120, 20], [0, 20]])


def reading_of(scene: Scene) -> PatchReading:
    return read_patches(scene.photo, scene.patches)[0]


def test_a_patch_reads_as_the_light_that_came_from_it() -> None:
    light = np.array([1.2, 1.0, 0.7])
    read = reading_of(Scene(light=(1.2, 1.0, 0.7)))
    np.testing.assert_allclose(read.mean, lab_to_linear(np.array(GREY)) * light, rtol=0.01)
    assert not read.clipped
    assert read.unevenness < 0.02
    assert np.all(read.error < 0.003)


def test_the_slope_is_the_lights() -> None:
    scene = Scene(light_change=0.4)
    height, width = scene.shape
    np.testing.assert_allclose(reading_of(scene).gradient.slope, [[0.4 / width, 0.4 / height]] * 3, rtol=0.1)


def test_a_shadow_across_the_card_is_noticed() -> None:
    assert reading_of(Scene(shadow=0.6)).unevenness > 3 * reading_of(Scene()).unevenness


def test_noise_makes_a_reading_less_sure() -> None:
    assert reading_of(Scene(noise=0.06)).error.mean() > 2 * reading_of(Scene(noise=0.01)).error.mean()


def test_one_clipped_channel_clips_the_patch() -> None:
    assert read_patches(Scene(steps=STRIP, light=(1.35, 0.9, 0.9)).photo, Scene(steps=STRIP).patches)[0].clipped


def test_level_is_that_of_the_brightest_channel() -> None:
    assert reading_of(Scene(light=(1.5, 0.5, 0.5))).level == pytest.approx(
        float(Scene().encoding.encode(lab_to_linear(np.array(GREY))[0] * 1.5)), abs=0.01
    )


def test_a_card_that_lies_askew_is_read_inside_its_corners() -> None:
    pixels = np.full((200, 200, 3), 30, np.uint8)
    rows, columns = np.mgrid[:200, :200]
    pixels[np.abs(rows - 100) + np.abs(columns - 100) < 60] = 128
    diamond = np.array([[100.0, 42], [158, 100], [100, 158], [42, 100]])
    read = read_patches(Photo(pixels, Scene().encoding, None), [Patch(diamond, np.array(GREY))])[0]
    assert read.level == pytest.approx(128 / 255)
    assert read.unevenness == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    ("corners", "says"),
    [
        (BOX[:3] + 50, "at least 4"),
        (BOX + 5000, "over the edge"),
        (np.array([[50.0, 50], [55, 50], [55, 55], [50, 55]]), "too small"),
        (np.array([[50.0, 50], [90, 50], [90, 90], [70, 99], [50, 90]]), "four corners"),
        (np.array([[50.0, 50], [90, 90], [90, 50], [50, 90]]), "crosses itself"),
    ],
)
def test_a_box_that_cannot_be_read_is_refused_in_a_sentence(corners: Floats, says: str) -> None:
    with pytest.raises(MarkUnusable, match=says):
        read_patches(Scene().photo, [Patch(corners, np.array(GREY))])


def test_no_card_is_refused() -> None:
    with pytest.raises(MarkUnusable, match="No grey card"):
        read_patches(Scene().photo, [])


@pytest.mark.parametrize("turned", range(4))
def test_a_strip_is_divided_along_its_longer_side(turned: int) -> None:
    cells = divide_strip(np.roll(BOX, turned, axis=0), 4)
    middles = np.array([cell.mean(axis=0) for cell in cells])
    np.testing.assert_allclose(np.sort(middles[:, 0]), [15, 45, 75, 105])
    np.testing.assert_allclose(middles[:, 1], 10)


def test_a_strip_of_one_is_left_whole() -> None:
    np.testing.assert_array_equal(divide_strip(BOX, 1)[0], BOX)


def test_a_strip_that_lies_the_other_way_is_turned_round() -> None:
    scene = Scene(steps=STRIP)
    cells = divide_strip(scene.card, len(STRIP))
    for laid in (cells, tuple(reversed(cells))):
        found = in_card_order(scene.photo, laid, STRIP)
        np.testing.assert_array_equal(np.array(found), np.array(cells))
