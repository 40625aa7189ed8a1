"""Pictures that are no photo straight from the camera are told, and photos are not."""

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from tests.photo.scene import STRIP, Scene
from webapp.colorimetry.encodings import SRGB
from webapp.photo.doubtful import file_reasons
from webapp.photo.measure import Measurement, measure
from webapp.photo.read import Photo, read_photo

SCENES = [Scene(), Scene(steps=STRIP), Scene(blur=3), Scene(light=(0.5, 0.45, 0.5)), Scene(pigment=(38, -1, 1))]


def says(measured: Measurement, words: str) -> bool:
    return any(words in r.sentence for r in measured.quality.reasons)


def measured_file(scene: Scene, pixels: np.ndarray, kind: str = "PNG", **options: object) -> Measurement:
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, kind, **options)
    return measure(read_photo(buffer.getvalue()), scene.outline, scene.patches)


@pytest.mark.parametrize("scene", SCENES)
def test_a_photo_in_colour_is_none_of_them(scene: Scene) -> None:
    measured = measured_file(scene, scene.pixels, "JPEG", quality=88)
    for words in ("black and white", "screenshot", "no grain"):
        assert not says(measured, words)


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
@pytest.mark.parametrize("scene", [Scene(), Scene(steps=STRIP), Scene(size=2)])
def test_a_black_and_white_photo_saved_in_colour_is_graded_retake(scene: Scene, kind: str) -> None:
    grey = np.repeat(np.asarray(Image.fromarray(scene.pixels).convert("L"))[..., None], 3, axis=2)
    measured = measured_file(scene, grey, kind)
    assert measured.quality.grade == "retake"
    assert says(measured, "black and white")
    assert not says(measured, "colour that skin does not have"), "one reason, the true one"


def test_a_toned_photo_is_graded_retake() -> None:
    scene = Scene()
    grey = np.asarray(Image.fromarray(scene.pixels).convert("L"), dtype=float)[..., None]
    sepia = np.clip(grey * [1.07, 0.93, 0.72], 0, 255).round().astype(np.uint8)
    measured = measured_file(scene, sepia)
    assert measured.quality.grade == "retake"
    assert says(measured, "toned")


def on_a_screen(bar: int, upright: bool = True) -> tuple[Scene, np.ndarray, np.ndarray]:
    """A scene between two bars of one colour, and the outline and patches moved with it."""
    scene = Scene()
    pad = ((40, 40), (0, 0), (0, 0)) if upright else ((0, 0), (40, 40), (0, 0))
    return scene, np.pad(scene.pixels, pad, constant_values=bar), np.array([0, 40] if upright else [40, 0])


@pytest.mark.parametrize("bar", [0, 18, 242, 255])
@pytest.mark.parametrize("upright", [True, False])
def test_bars_of_one_colour_at_two_edges_are_a_screens(bar: int, upright: bool) -> None:
    scene, pixels, moved = on_a_screen(bar, upright)
    photo = Photo(pixels, SRGB, None, from_camera=False)
    patches = [replace(p, corners=p.corners + moved) for p in scene.patches]
    measured = measure(photo, scene.outline + moved, patches)
    assert measured.quality.grade == "usable"
    assert says(measured, "may be a screenshot")


@pytest.mark.parametrize("size", [(1170, 2532), (2532, 1170), (1920, 1080)])
def test_a_file_of_a_screens_size_that_names_no_camera_may_be_a_screenshot(size: tuple[int, int]) -> None:
    pixels = np.random.default_rng(1).integers(60, 200, (size[1], size[0], 3)).astype(np.uint8)
    photo = Photo(pixels, SRGB, None, from_camera=False)
    assert ["exactly as large as a screen" in r.sentence for r in file_reasons(photo)] == [True]
    assert [r.grade for r in file_reasons(photo)] == ["usable"]
    assert not list(file_reasons(replace(photo, from_camera=True)))
    assert not list(file_reasons(replace(photo, pixels=pixels[:, :-2])))


@pytest.mark.parametrize(("edges", "said"), [("top", False), ("both", True), ("corner", False)])
def test_one_flat_edge_or_a_corner_is_no_screen(edges: str, said: bool) -> None:
    pixels = np.random.default_rng(1).integers(60, 200, (900, 700, 3)).astype(np.uint8)
    pixels[:60, : 400 if edges == "corner" else 700] = 17
    if edges != "top":
        pixels[-60:, : 400 if edges == "corner" else 700] = 17
    assert bool(list(file_reasons(Photo(pixels, SRGB, None)))) == said


def test_white_that_a_camera_clipped_is_no_screen() -> None:
    pixels = np.full((900, 700, 3), 255, np.uint8)
    assert not list(file_reasons(Photo(pixels, SRGB, None, from_camera=True)))
    assert list(file_reasons(Photo(pixels, SRGB, None, from_camera=False)))


@pytest.mark.parametrize("tag", [271, 272])
def test_the_camera_is_known_by_what_it_noted(tag: int) -> None:
    exif = Image.Exif()
    exif[tag] = "an invented camera"
    buffer = io.BytesIO()
    Image.fromarray(Scene().pixels).save(buffer, "JPEG", exif=exif)
    assert read_photo(buffer.getvalue()).from_camera
    assert not read_photo(Scene().file("JPEG")).from_camera


def test_skin_without_any_grain_has_been_smoothed() -> None:
    """The edges of hairs are as sharp as ever: only what lies inside one colour is smooth."""
    scene = Scene(noise=0.0, texture=0.0, hairs=22, hair_width=1)
    smooth = measure(scene.photo, scene.outline, scene.patches)
    assert smooth.quality.grade == "usable"
    assert says(smooth, "no grain")


def test_a_blurred_photo_is_called_blurred_and_not_filtered() -> None:
    scene = Scene(blur=3, noise=0.0, texture=0.0)
    soft = measured_file(scene, scene.pixels, "JPEG", quality=80)
    assert says(soft, "blurred")
    assert not says(soft, "no grain")
