"""The validation script itself: it is only worth its figures if its truths are what it says they are."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

from validate_drift import run_studio
from validation.studios import draw_skin, draw_start, draw_work, warmth_for

from webapp.colorimetry.density import density
from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.warmth import WARM_DIRECTION


@pytest.mark.parametrize("sign", [-1, 1])
def test_a_drift_of_three_is_three(sign: int) -> None:
    start = np.array([38.0, 6.0, 8.0])
    turned = start + warmth_for(start, 3.0, sign) * np.array([0.0, *WARM_DIRECTION])
    assert delta_e_00(start, turned) == pytest.approx(3.0, abs=1e-6)


def test_a_work_fades_by_the_half_life_that_it_was_given() -> None:
    rng = np.random.default_rng(0)
    skin = draw_skin(rng)
    start = draw_start(rng, "hybrid", skin)
    months = np.array([1.5, 13.5, 25.5])
    work = draw_work(rng, 1, "hybrid", skin, (0.0, 0.0), np.log(2) / 12, months, 1.0, start)
    seen = density(work.colours, skin)
    np.testing.assert_allclose(seen[1:] / seen[:-1], 0.5, atol=1e-3)


def test_the_same_seed_gives_the_same_figures_and_every_work_is_judged() -> None:
    told = [run_studio(np.random.SeedSequence(3), 8, 1.0, own_noise=True) for _ in range(2)]
    first, second = ({k: (t.hits, t.tries) for k, t in i.tallies.items()} for i, _, _ in told)
    assert first == second
    assert 6 <= first["own_warmth", "pooled", None][1] <= 8
    verdicts = told[0][1]
    means = [f.tallies["half-life"] for _, _, f in told]
    assert means[0] == means[1]
    assert verdicts.steady["tries"] == 3
    assert sum(c["tries"] for c in verdicts.drift.values()) == 2
