import numpy as np
import pytest

from tests.photo.scene import STRIP, Scene
from webapp.colorimetry.encodings import SRGB
from webapp.photo.polygon import bounding_box, crosses_itself, inside
from webapp.photo.propose_outline import propose_outline
from webapp.photo.read import Photo


def overlap(one: np.ndarray, other: np.ndarray) -> float:
    box = bounding_box(np.concatenate([one, other]), 1, 4000, 4000)
    first, second = inside(one, box), inside(other, box)
    return float((first & second).sum() / (first | second).sum())


@pytest.mark.parametrize(
    "scene",
    [
        Scene(),
        Scene(skin=(34.0, 12.0, 16.0), pigment=(21.0, 5.0, 6.0)),
        Scene(strokes=40),
        Scene(shine=0.05),
        Scene(steps=STRIP),
        Scene(light=(1.1, 0.8, 0.5)),
        Scene(light_change=0.4),
        Scene(size=2.0),
    ],
    ids=["plain", "dark skin", "strokes", "shine", "strip", "lamp light", "shading", "large"],
)
def test_a_brow_is_found_without_a_mark_on_it(scene: Scene) -> None:
    proposal = propose_outline(scene.photo, "left brow", [scene.card])
    assert proposal is not None
    assert overlap(proposal.outline, scene.outline) > 0.6
    assert 3 <= len(proposal.outline) <= 24
    assert not crosses_itself(proposal.outline)
    assert 0 < proposal.confidence <= 1


def test_where_long_hair_crosses_the_brow_it_says_that_it_is_unsure() -> None:
    scene = Scene(hairs=15)
    proposal = propose_outline(scene.photo, "left brow", [scene.card])
    assert proposal is None or overlap(proposal.outline, scene.outline) > 0.6 or proposal.confidence < 0.6


@pytest.mark.parametrize("site", ["left brow", "right lower eyeliner"])
def test_bare_skin_is_not_taken_for_a_work(site: str) -> None:
    scene = Scene(ink=0.0)
    assert propose_outline(scene.photo, site, [scene.card]) is None


@pytest.mark.parametrize("code", [0, 128, 255])
def test_a_photo_of_nothing_gives_nothing(code: int) -> None:
    assert propose_outline(Photo(np.full((300, 400, 3), code, np.uint8), SRGB, None), "left brow") is None


def test_a_photo_that_is_all_card_gives_nothing() -> None:
    whole = np.array([[0.0, 0], [840, 0], [840, 560], [0, 560]])
    assert propose_outline(Scene().photo, "left brow", [whole]) is None


def test_lashes_are_not_part_of_a_liner() -> None:
    rows, columns = np.mgrid[:480, :640]
    pixels = np.full((480, 640, 3), (205.0, 165, 140))
    band = np.abs(rows - 220) < 11
    pixels[band & (columns > 160) & (columns < 480)] = (60, 50, 48)
    for x in range(165, 480, 11):
        pixels[(rows > 220) & (rows < 280) & (np.abs(columns - x) < 2)] = (40, 35, 33)
    pixels += np.random.default_rng(1).normal(0, 2, pixels.shape)
    proposal = propose_outline(Photo(np.clip(pixels, 0, 255).astype(np.uint8), SRGB, None), "left upper eyeliner")
    assert proposal is not None
    drawn = np.array([[160.0, 209], [480, 209], [480, 231], [160, 231]])
    assert overlap(proposal.outline, drawn) > 0.6
    assert proposal.outline[:, 1].max() < 245
