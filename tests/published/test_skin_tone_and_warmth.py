"""ITA and the warm–cool scale against independent implementations."""

import numpy as np
import pytest
from materialyoucolor.hct import Hct
from materialyoucolor.temperature.temperature_cache import TemperatureCache
from skinoptics import colors

from webapp.colorimetry.encodings import SRGB
from webapp.colorimetry.lab import linear_to_lab
from webapp.colorimetry.skin_tone import skin_tone_class, typology_angle
from webapp.colorimetry.warmth import warm_cool_scale, warmth
from webapp.drift.thresholds import Thresholds

SKINS = np.array([[L, 10.0, b] for L in np.arange(22, 80, 3.5) for b in (6.0, 12.0, 19.0)])


def test_typology_angle_and_classes_agree_with_skinoptics() -> None:
    """Chardon et al. 1991; classes of Del Bino and Bernerd 2013; implementation of the package skinoptics."""
    angles = typology_angle(SKINS)
    np.testing.assert_allclose(angles, colors.ITA(SKINS[:, 0], SKINS[:, 2]), atol=1e-9)
    assert [skin_tone_class(a) for a in angles] == [colors.ITA_class(float(a)) for a in angles]
    assert len({skin_tone_class(a) for a in angles}) == 6


def test_warm_cool_scale_agrees_with_materialyoucolor() -> None:
    """Ou, Luo, Woodcock, Wright 2004, Color Res. Appl. 29: 232–240, as materialyoucolor implements it.

    It goes from sRGB code values by matrix digits of its own, which moves a* and b* by up to 0.03 or so and the score,
    whose slope is about 0.03 a unit, by 0.001.
    """
    codes = np.random.default_rng(29).integers(0, 256, (400, 3))
    ours = warm_cool_scale(linear_to_lab(SRGB.decode(codes / 255)))
    theirs = [
        TemperatureCache.raw_temperature(Hct.from_int(0xFF000000 | int(r) << 16 | int(g) << 8 | int(b)))
        for r, g, b in codes
    ]
    np.testing.assert_allclose(ours, theirs, atol=2e-3)


def test_warm_cool_scale_by_its_formula() -> None:
    """WC = −0.5 + 0.02·C*^1.07·cos(h − 50°), Ou et al. 2004, equation for single colours."""
    chroma, hue = np.meshgrid([0.5, 5, 20, 60], np.arange(0, 360, 25))
    lab = np.stack([np.full_like(chroma, 50), chroma * np.cos(np.radians(hue)), chroma * np.sin(np.radians(hue))], -1)
    np.testing.assert_allclose(warm_cool_scale(lab), -0.5 + 0.02 * chroma**1.07 * np.cos(np.radians(hue - 50)))
    assert warm_cool_scale(np.array([50.0, 0, 0])) == pytest.approx(-0.5)


def test_warmth_has_its_poles_where_the_published_scale_has_them() -> None:
    """The warm pole of Ou et al. 2004 lies at h = 50°; warmth must be extreme there too."""
    hues = np.arange(360)
    lab = np.stack([np.full(360, 50.0), 20 * np.cos(np.radians(hues)), 20 * np.sin(np.radians(hues))], -1)
    assert hues[np.argmax(warmth(lab))] == hues[np.argmax(warm_cool_scale(lab))] == 50
    assert hues[np.argmin(warmth(lab))] == hues[np.argmin(warm_cool_scale(lab))] == 230


def test_thresholds_are_the_published_ones() -> None:
    """Leow et al. 2006, Prosthet. Orthot. Int. 30: 5–16: perceptible 0.8 and 1.3, acceptable 1.8 and 2.6."""
    fair, dark = np.array([68.0, 11, 16]), np.array([38.0, 11, 15])
    told = Thresholds()
    assert (told.noticeable(fair), told.noticeable(dark)) == (0.8, 1.3)
    assert (told.unacceptable(fair), told.unacceptable(dark)) == (1.8, 2.6)
    assert told.unacceptable(None) == 1.8
