from dataclasses import replace

import numpy as np
import pytest

from tests.photo.scene import STRIP, Scene
from webapp.colorimetry.density import density
from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import SRGB, Floats, encode_srgb
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.photo.measure import measure
from webapp.photo.polygon import Mask
from webapp.photo.read import Photo
from webapp.photo.region import Region, find_region


def region_of(scene: Scene) -> Region:
    return find_region(scene.photo, scene.outline)


def over(whole: Floats | Mask, region: Region) -> Floats:
    """Cut a mask of the whole photo to a region."""
    box = region.box
    return np.asarray(whole[box.top : box.bottom : region.scale, box.left : box.right : region.scale])


def test_pigmented_skin_is_where_the_pigment_is() -> None:
    scene = Scene()
    region = region_of(scene)
    amount = over(scene.work, region)
    assert np.quantile(amount[region.pigmented], 0.01) > 0.3
    assert np.average(amount, weights=region.weight) > 0.9
    assert region.pigmented[amount > 0.9].mean() > 0.97


def test_bare_skin_is_a_ring_without_pigment_all_round() -> None:
    scene = Scene()
    region = region_of(scene)
    assert over(scene.work, region)[region.bare].max() < 0.05
    assert not np.any(region.bare & region.outlined)
    rows, columns = np.nonzero(region.bare)
    middle = np.argwhere(region.outlined).mean(axis=0)
    shares = [np.mean(rows < middle[0]), np.mean(columns < middle[1])]
    assert min(shares) > 0.2
    assert max(shares) < 0.8


FINE_HAIR = [Scene(hairs=22, hair_width=1), Scene(hairs=22, hair_width=2, size=2)]
"""Hairs of a five-hundredth of the brow's length, 0.1 mm on 50 mm."""


@pytest.mark.parametrize("scene", FINE_HAIR, ids=["small photo", "large photo"])
def test_hair_over_the_work_is_left_out_of_pigment_and_skin(scene: Scene) -> None:
    region = region_of(scene)
    hair = over(scene.hair, region) > 0
    assert region.hair[hair & region.outlined].mean() > 0.8
    assert np.mean(hair[region.pigmented]) < 0.01
    assert np.mean(hair[region.bare]) < 0.01


@pytest.mark.parametrize("scene", FINE_HAIR, ids=["small photo", "large photo"])
def test_hair_moves_the_colour_by_little(scene: Scene) -> None:
    plain, hairy = replace(scene, hairs=0).measured(), scene.measured()
    assert hairy.skin is not None
    assert plain.skin is not None
    assert delta_e_00(plain.pigment.lab, hairy.pigment.lab) < 0.5
    assert delta_e_00(plain.skin.lab, hairy.skin.lab) < 0.3


def test_tattooed_strokes_are_not_taken_for_hair() -> None:
    region = region_of(Scene(strokes=30))
    assert np.mean(region.hair & region.outlined) < 0.02


def test_shine_is_left_out() -> None:
    scene = Scene(shine=0.1)
    region = region_of(scene)
    shiny = over(scene.shiny, region)
    assert region.glare[shiny & region.outlined].mean() > 0.95
    assert not np.any(shiny & region.pigmented)


def test_shine_moves_the_colour_by_little() -> None:
    assert delta_e_00(Scene().measured().pigment.lab, Scene(shine=0.2).measured().pigment.lab) < 0.8


@pytest.mark.parametrize("growth", [-0.15, 0.0, 0.3, 0.5])
def test_a_sloppy_outline_finds_nearly_the_same_colour(growth: float) -> None:
    careful, sloppy = Scene().measured(), Scene(growth=growth).measured()
    assert sloppy.skin is not None
    assert careful.skin is not None
    assert delta_e_00(careful.pigment.lab, sloppy.pigment.lab) < 1.0
    assert delta_e_00(careful.skin.lab, sloppy.skin.lab) < 0.5


def test_an_outline_with_a_trembling_hand_finds_nearly_the_same_colour() -> None:
    scene = Scene()
    trembling = scene.outline + np.random.default_rng(4).uniform(-3, 3, scene.outline.shape)
    shaky = measure(scene.photo, trembling, scene.patches)
    assert delta_e_00(scene.measured().pigment.lab, shaky.pigment.lab) < 0.6


def test_outlines_run_either_way_round_are_one() -> None:
    scene = Scene()
    one, other = (find_region(scene.photo, o) for o in (scene.outline, scene.outline[::-1]))
    np.testing.assert_array_equal(one.pigmented, other.pigmented)
    np.testing.assert_array_equal(one.bare, other.bare)


def test_density_is_that_of_the_pigment() -> None:
    scene = Scene()
    region = region_of(scene)
    inside = over(scene.work, region) > 0.95
    expected = float(density(np.array(scene.pigment), np.array(scene.skin)))
    assert np.median(region.density[inside]) == pytest.approx(expected, abs=0.05)
    assert np.median(region.density[region.bare]) == pytest.approx(0, abs=0.02)


def test_light_that_falls_off_across_the_skin_is_no_pigment() -> None:
    even, falling = Scene(), Scene(light_change=0.3)
    region = region_of(falling)
    assert np.median(region.density[region.bare]) == pytest.approx(0, abs=0.03)
    assert region.pigmented.sum() == pytest.approx(region_of(even).pigmented.sum(), rel=0.1)


def test_a_large_photo_is_averaged_down_and_finds_the_same() -> None:
    small, large = Scene(), Scene(size=2.9)
    region = large.measured().region
    assert region.scale >= 2
    assert delta_e_00(small.measured().pigment.lab, large.measured().pigment.lab) < 0.5
    assert region.photo_pixels(region.pigmented) == pytest.approx(region_of(small).pigmented.sum() * 2.9**2, rel=0.1)


@pytest.mark.parametrize("scene", [Scene(strokes=30), Scene(strokes=30, hairs=12, hair_width=1, shine=0.05)])
def test_the_mean_over_the_outline_holds_the_skin_between_strokes(scene: Scene) -> None:
    """Its colour is that of the light of the whole outline; the pigment alone is denser than that."""
    measured = scene.measured()
    clean = replace(scene, hairs=0, shine=0.0)
    box = measured.region.box
    whole = clean.true_light[box.top : box.bottom, box.left : box.right][measured.region.outlined].mean(axis=0)
    assert delta_e_00(measured.outline.lab, linear_to_lab(whole)) < 1.0
    assert measured.skin is not None
    alone, seen = (float(density(c.lab, measured.skin.lab)) for c in (measured.pigment, measured.outline))
    assert alone > 1.3 * seen
    assert measured.outline.pixels > measured.pigment.pixels


FINE_STROKES = [(30, 1, 1.0), (45, 1, 1.0), (45, 2, 1.0), (30, 1, 0.5)]
"""How many, the photo's size, how much ink."""


@pytest.mark.parametrize("scene", [Scene(strokes=n, stroke_width=5, size=s, ink=i) for n, s, i in FINE_STROKES])
def test_of_strokes_the_strokes_count_and_not_the_skin_between(scene: Scene) -> None:
    measured = scene.measured()
    region = measured.region
    amount = over(scene.work, region)
    assert np.average(amount, weights=region.weight) > 0.7
    assert region.pigmented[(amount > 0.8) & region.outlined].mean() > 0.9
    assert region.pigmented[(amount < 0.15) & region.outlined].mean() < 0.02


def test_where_pigment_fills_the_outline_both_colours_are_nearly_one() -> None:
    measured = Scene(growth=-0.05).measured()
    assert delta_e_00(measured.pigment.lab, measured.outline.lab) < 1.0


def test_a_swatch_is_taken_whole() -> None:
    scene = Scene(strokes=30)
    region = find_region(scene.photo, scene.outline, split=False)
    np.testing.assert_array_equal(region.pigmented, region.outlined)
    assert not region.bare.any()
    measured = measure(scene.photo, scene.outline, scene.patches, swatch=True)
    assert measured.skin is None
    np.testing.assert_array_equal(measured.outline.lab, measured.pigment.lab)
    box = region.box
    true = scene.true_light[box.top : box.bottom, box.left : box.right][region.outlined].mean(axis=0)
    assert delta_e_00(measured.pigment.lab, linear_to_lab(true)) < 0.3


@pytest.mark.parametrize(
    "scene",
    [
        Scene(),
        Scene(light=(1.3, 1.0, 0.7)),
        Scene(light=(0.5, 0.45, 0.5)),
        Scene(steps=STRIP, bend=0.9, flare=0.008),
        Scene(skin=(44, 12, 17), pigment=(29, 7, 8)),
        Scene(pigment=(38, -1, 1)),
    ],
    ids=["plain", "cast", "dark", "tone curve and flare on steps", "dark skin", "grey pigment"],
)
def test_the_true_colours_come_back(scene: Scene) -> None:
    measured = scene.measured()
    assert measured.skin is not None
    assert delta_e_00(measured.skin.lab, np.array(scene.skin)) < 0.5
    inked = linear_to_lab(scene.true_light[scene.work >= 0.5].mean(axis=0))
    assert delta_e_00(measured.pigment.lab, inked) < 0.5


def test_fine_dots_of_pigment_are_averaged_in_light_and_not_in_code_values() -> None:
    """Two-pixel dots of L* 22 on skin of L* 65, a quarter of the area: the mean's L* is that of the mean light."""
    rows, columns = np.mgrid[:400, :1200]
    dots = (rows // 2 % 2 == 0) & (columns // 2 % 2 == 0)
    light = lab_to_linear(np.array([[65.0, 0, 0], [22, 0, 0]]))[:, 0]
    codes = np.round(encode_srgb(np.where(dots, light[1], light[0])) * 255).astype(np.uint8)
    photo = Photo(np.repeat(codes[..., None], 3, axis=2), SRGB, None)
    region = find_region(photo, np.array([[40.0, 40], [1160, 40], [1160, 360], [40, 360]]), split=False)
    assert region.scale == 2
    true = linear_to_lab(np.full(3, 0.25 * light[1] + 0.75 * light[0]))[0]
    assert linear_to_lab(region.linear[region.outlined].mean(axis=0))[0] == pytest.approx(true, abs=0.2)
