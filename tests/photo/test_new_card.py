from dataclasses import replace

import numpy as np
import pytest

from tests.photo.two_cards import KNOWN_BOX, NEW, TwoCards
from webapp.colorimetry.encodings import SRGB
from webapp.colorimetry.tone import ToneCurve
from webapp.photo.card import Patch
from webapp.photo.new_card import NewCard, read_new_card
from webapp.photo.polygon import MarkUnusable
from webapp.photo.read import Photo

ONE = ((50.0, 0.0, 0.0),)


def read(scene: TwoCards) -> NewCard:
    return read_new_card(Photo(scene.pixels, SRGB, None), scene.patches, scene.cells)


def errors(scene: TwoCards) -> np.ndarray:
    """Errors of L*, a*, b* of every patch, in standard deviations as stated."""
    return np.array([(p.lab - t) / p.sd for p, t in zip(read(scene).patches, scene.new, strict=True)])


def said(scene: TwoCards) -> tuple[str, str]:
    quality = read(scene).quality
    return quality.grade, " ".join(r.sentence for r in quality.reasons)


def test_a_new_card_beside_a_known_one_in_even_light_comes_out_right() -> None:
    scene = TwoCards()
    new = read(scene)
    assert new.quality.reasons == ()
    for patch, true in zip(new.patches, NEW, strict=True):
        assert np.abs(patch.lab - true).max() < 0.5
        assert np.all(patch.sd > 0.5)
        assert patch.sd[0] < 2.5


def test_what_is_stated_covers_the_errors_of_cameras_and_lights_drawn_at_random() -> None:
    rng = np.random.default_rng(11)
    found = []
    for k in range(24):
        scene = TwoCards(
            known=ONE if k % 4 == 0 else TwoCards().known,
            light=tuple(0.75 * np.exp(rng.normal(0, 0.12, 3))),
            change=tuple(rng.normal(0, 0.05, 2)),
            curve=ToneCurve(abs(rng.normal(0, 0.08)), rng.normal(0, 0.01)),
            flare=abs(rng.normal(0, 0.005)),
            seed=k,
        )
        found.append(np.abs(errors(scene)))
    off = np.array(found)
    assert np.mean(off < 1) > 0.68
    assert np.mean(off < 2) > 0.93
    assert np.median(off[..., 0]) > 0.1  # nor are the deviations so wide that they say nothing


def test_the_known_cards_own_deviation_is_counted() -> None:
    scene = TwoCards()
    photo = Photo(scene.pixels, SRGB, None)
    doubtful = [replace(p, sd=np.array([2.0, 1.0, 1.0])) for p in scene.patches]
    exact, wider = (read_new_card(photo, p, scene.cells) for p in (scene.patches, doubtful))
    for a, b in zip(exact.patches, wider.patches, strict=True):
        assert np.allclose(a.lab, b.lab)
        assert np.all(b.sd > a.sd + 0.2)


@pytest.mark.parametrize(
    ("scene", "grade", "words"),
    [
        (TwoCards(light=(1.5, 1.4, 1.2), known=TwoCards().known[2:]), "retake", "so bright that the camera cut it off"),
        (TwoCards(new=((88, 0, 0), (60, 30, 10), (30, 0, 0))), "retake", "Patch 2 of the new card is not a grey"),
        (TwoCards(shadow=0.5), "retake", "is not one even grey"),
        (TwoCards(change=(0.0, 1.2)), "retake", "The light changes by about"),
        (TwoCards(known=ONE), "usable", "has only one grey to go by"),
        (
            TwoCards(known=TwoCards().known[1:-2]),
            "usable",
            "Patches 1 and 4 of the new card are each lighter or darker",
        ),
    ],
)
def test_what_is_wrong_is_told(scene: TwoCards, grade: str, words: str) -> None:
    told = said(scene)
    assert told[0] == grade, told
    assert words in told[1]


def test_beyond_the_known_steps_the_deviation_grows() -> None:
    whole, short = TwoCards(), TwoCards(known=TwoCards().known[2:4])
    short = replace(short, known=TwoCards().known[2:5])
    assert read(short).patches[0].sd[0] > read(whole).patches[0].sd[0] + 1


def test_boxes_over_one_another_are_refused() -> None:
    scene = TwoCards()
    with pytest.raises(MarkUnusable, match="marked over one another"):
        read_new_card(Photo(scene.pixels, SRGB, None), scene.patches, [KNOWN_BOX - (0, 5)])


@pytest.mark.parametrize("corners", [KNOWN_BOX + 900, KNOWN_BOX * np.nan, KNOWN_BOX[[0, 2, 1, 3]]])
def test_marks_that_cannot_be_read_are_refused_in_a_sentence(corners: np.ndarray) -> None:
    scene = TwoCards()
    with pytest.raises(MarkUnusable, match=r"\.$"):
        read_new_card(Photo(scene.pixels, SRGB, None), [Patch(corners, np.array([50.0, 0, 0]))], scene.cells)
