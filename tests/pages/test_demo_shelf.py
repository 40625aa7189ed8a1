"""The demo's invented labels agree with the families that its rendered photographs were made from."""

import json

import pytest

from webapp.demo import DEMO_PHOTOS
from webapp.demo_shelf import BOTTLES, LABELS
from webapp.pigments.family import derive_family
from webapp.pigments.label import read_label

TOLD = json.loads((DEMO_PHOTOS / "studio.json").read_text(encoding="utf-8"))["pigments"]


@pytest.mark.parametrize("told", TOLD, ids=lambda p: p["name"])
def test_a_demo_label_makes_the_family_that_was_rendered(told) -> None:
    assert derive_family(read_label(LABELS[told["name"]]).constituents).family == told["family"]


def test_every_name_says_that_it_is_invented() -> None:
    assert all("(invented)" in name for name in LABELS)
    assert BOTTLES.keys() <= LABELS.keys()
