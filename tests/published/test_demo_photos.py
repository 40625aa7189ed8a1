"""The invented demo photos, measured by the real pipeline, against the colours that they were rendered from.

The photos come from measured skin spectra, lamps and two cameras' sensitivities (scripts/make_demo_photos.py); their
true colours stand in demo_photos/true_colours.csv. The bounds lie somewhat above what is reached, so that chance in
a new rendering passes and a broken step of the pipeline does not.
"""

import csv
import json
from collections import defaultdict
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from webapp.colorimetry.density import density
from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.drift.change import anchor
from webapp.photo.card import Patch
from webapp.photo.measure import Measurement, measure
from webapp.photo.read import read_photo

FOLDER = Path(__file__).resolve().parents[2] / "demo_photos"


@dataclass(frozen=True)
class Compared:
    """One photo: what it should have given and what it gave."""

    name: str
    work: str
    true_pigment: Floats
    true_skin: Floats
    true_density: float
    found: Measurement

    @property
    def skin(self) -> Floats:
        assert self.found.skin is not None, f"no bare skin in {self.name}"
        return self.found.skin.lab

    @property
    def pigment_error(self) -> float:
        return float(delta_e_00(self.found.pigment.lab, self.true_pigment))

    @property
    def skin_error(self) -> float:
        return float(delta_e_00(self.skin, self.true_skin))

    @property
    def anchored(self) -> Floats:
        return anchor(self.found.pigment.lab, self.skin, self.true_skin)

    @property
    def anchored_error(self) -> float:
        return float(delta_e_00(self.anchored, self.true_pigment))

    @property
    def density_error(self) -> float:
        return float(density(self.found.pigment.lab, self.skin)) - self.true_density


@cache
def compared() -> tuple[Compared, ...]:
    told = json.loads((FOLDER / "studio.json").read_text(encoding="utf-8"))
    with (FOLDER / "true_colours.csv").open(encoding="utf-8", newline="") as file:
        truth = {row["photo"]: row for row in csv.DictReader(file)}
    cards = {card["name"]: card["patches"] for card in told["cards"]}
    found = []
    for client in told["clients"]:
        for work in client["works"]:
            for visit in work["follow_ups"]:
                true = truth[visit["photo"]]
                pigment, skin = (np.array([float(true[f"{what}_{c}"]) for c in "Lab"]) for what in ("pigment", "skin"))
                patches = [
                    Patch(np.array(corners), np.array(lab, dtype=float))
                    for corners, lab in zip(visit["card_patches"], cards[visit["card"]], strict=True)
                ]
                photo = read_photo((FOLDER / visit["photo"]).read_bytes())
                measured = measure(photo, np.array(visit["outline"]), patches)
                name = f"{client['alias']}, {work['site']}"
                found.append(Compared(visit["photo"], name, pigment, skin, float(true["density"]), measured))
    return tuple(found)


def sound() -> list[Compared]:
    return [c for c in compared() if c.found.quality.grade != "retake"]


def by_work(photos: list[Compared]) -> dict[str, list[Compared]]:
    works = defaultdict(list)
    for photo in photos:
        works[photo.work].append(photo)
    return works


def scatter(photos: list[Compared]) -> Floats:
    """The standard deviation, between photos of one work, of what L*, a*, b* are off by after matching the skin."""
    return np.asarray(np.std([p.anchored - p.true_pigment for p in photos], axis=0, ddof=1))


def test_every_demo_photo_is_compared_with_its_true_colour(capsys: pytest.CaptureFixture[str]) -> None:
    lines = [
        "",
        "Demo photos against their true colours, ΔE00 (matched: after a gain per channel to the true skin)",
        f"{'photo':48} {'pigment':>8} {'skin':>6} {'matched':>8} {'Δdensity':>9}  grade",
    ]
    for p in compared():
        lines.append(
            f"{p.name:48} {p.pigment_error:8.1f} {p.skin_error:6.1f} {p.anchored_error:8.1f} {p.density_error:9.2f}"
            f"  {p.found.quality.grade}"
        )
    for label, share in (("median", 0.5), ("90 %", 0.9)):
        three = (
            np.quantile([getattr(p, f"{k}_error") for p in sound()], share) for k in ("pigment", "skin", "anchored")
        )
        lines.append("{:48} {:8.1f} {:6.1f} {:8.1f}".format(f"{label} of sound photos", *three))
    lines.append(
        f"\n{'between sound photos of one work: sd of the error':48} {'L*':>6} {'a*':>6} {'b*':>6} {'density':>8}"
    )
    for work, photos in by_work(sound()).items():
        if len(photos) > 1:
            densities = float(np.std([p.density_error for p in photos], ddof=1))
            lines.append("{:48} {:6.2f} {:6.2f} {:6.2f} {:8.3f}".format(work, *scatter(photos), densities))
    with capsys.disabled():
        print("\n".join(lines))
    names = {p.name for p in compared()}
    assert names == {path.name for path in FOLDER.glob("*.jpg")}
    assert len(names) >= 30


def test_every_demo_photo_has_bare_skin() -> None:
    assert all(p.found.skin is not None for p in compared())


def test_the_card_brings_skin_and_pigment_near_the_truth() -> None:
    assert np.median([p.skin_error for p in sound()]) < 3.5
    assert np.median([p.pigment_error for p in sound()]) < 3.5
    assert max(p.skin_error for p in sound()) < 10


def test_matched_on_the_skin_the_pigment_is_nearer_still() -> None:
    errors = [p.anchored_error for p in sound()]
    assert np.median(errors) < 2.0
    assert np.quantile(errors, 0.9) < 3.2
    assert np.median(errors) < np.median([p.pigment_error for p in sound()])


def test_density_is_found_again() -> None:
    errors = np.array([p.density_error for p in sound()])
    assert np.median(np.abs(errors)) < 0.07
    found = [p.true_density + p.density_error for p in sound()]
    assert np.corrcoef(found, [p.true_density for p in sound()])[0, 1] > 0.95


def test_photos_of_one_work_agree_better_than_one_photo_with_the_truth() -> None:
    """Drift is judged between photos of one work, where what is always off alike does no harm."""
    scatters = np.array([scatter(photos) for photos in by_work(sound()).values() if len(photos) >= 3])
    assert np.all(np.median(scatters, axis=0) < [1.6, 1.4, 1.6])


def test_the_claimed_error_covers_what_is_really_off() -> None:
    """Card alone, skin: the error of each coordinate lies within two claimed standard deviations in 80 % or more."""
    off = np.array([(p.skin - p.true_skin) / p.found.skin.sd for p in sound() if p.found.skin is not None])
    assert np.mean(np.abs(off) < 2) > 0.8
