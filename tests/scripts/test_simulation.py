"""The simulated photographs that accuracy.py reports on: what it may rest on, and that its truth is true."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

from simulation.cameras import GOOD_LAMPS, POOR_LAMPS, cameras
from simulation.distance_tables import errors
from simulation.people import read_people
from simulation.shooting import SkinState
from simulation.trials import Series, shots_of, take_pairs

from webapp.colorimetry.difference import delta_e_00


def test_what_is_tuned_on_is_not_reported_on() -> None:
    tuned, reported = cameras("tune"), cameras("report")
    assert not {c.name for c in tuned} & {c.name for c in reported}
    assert len(tuned) + len(reported) >= 42
    assert len(GOOD_LAMPS) >= 7
    assert len(POOR_LAMPS) >= 5
    assert not set(GOOD_LAMPS) & set(POOR_LAMPS)


def test_people_are_read_from_a_table_by_wavelength(tmp_path: Path) -> None:
    table = tmp_path / "skin.csv"
    table.write_text("# invented\nwavelength_nm,one,two\n400,0.1,0.2\n700,0.4,0.8\n", encoding="utf-8")
    people = read_people(table)
    assert people["one"][0] == pytest.approx(0.1)
    assert people["two"][15] == pytest.approx(0.5)


def test_the_same_seed_gives_the_same_photograph_and_the_skin_changes_its_truth() -> None:
    people = read_people(None)
    usual, tanned = (Series("report", GOOD_LAMPS, people, later) for later in (SkinState(), SkinState(melanin=0.2)))
    first, second = shots_of(usual, 3)
    again, darker = shots_of(tanned, 3)
    assert first.file == again.file
    assert first.file != second.file
    assert delta_e_00(first.skin_lab, second.skin_lab) < 0.5
    assert darker.skin_lab[0] < first.skin_lab[0] - 3
    assert darker.pigment_lab[0] < first.pigment_lab[0] - 1


def test_the_pipeline_measures_a_simulated_work() -> None:
    pairs = take_pairs(Series("report", GOOD_LAMPS, read_people(None)), 2, workers=1)
    assert len(pairs) == 2
    for pair in pairs:
        for photo in range(2):
            raw, card = (pair.seen[m][photo].skin.lab for m in ("no correction", "six neutral steps"))
            assert delta_e_00(card, pair.true_skin[photo]) < delta_e_00(raw, pair.true_skin[photo])
            assert delta_e_00(card, pair.true_skin[photo]) < 10
    found = errors(pairs, "six neutral steps")
    assert found["density"][0].shape == (2, 1)
    assert np.all(found["pigmented skin, anchored"][1] > 0)
