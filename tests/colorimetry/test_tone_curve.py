import numpy as np
from hypothesis import given

from tests.properties import numbers, steady
from webapp.colorimetry.encodings import decode_srgb, encode_srgb
from webapp.colorimetry.tone import BENDS, LIFTS, NO_CURVE, ToneCurve

LIGHT = np.linspace(0, 1, 500)
lifts, bends = numbers(*LIFTS), numbers(*BENDS)


@given(lift=lifts, bend=bends)
@steady
def test_what_a_curve_does_is_undone(lift: float, bend: float) -> None:
    curve = ToneCurve(lift, bend)
    np.testing.assert_allclose(curve.undo(curve.apply(LIGHT)), LIGHT, atol=1e-5)


@given(lift=lifts, bend=bends)
@steady
def test_lighter_stays_lighter_also_beyond_black_and_white(lift: float, bend: float) -> None:
    assert np.all(np.diff(ToneCurve(lift, bend).undo(np.linspace(-0.1, 2.0, 3000))) > 0)


@given(lift=lifts, bend=bends)
@steady
def test_black_and_white_stay(lift: float, bend: float) -> None:
    np.testing.assert_allclose(ToneCurve(lift, bend).apply(np.array([0.0, 1.0])), [0, 1], atol=1e-9)


def test_the_curve_is_the_one_it_says() -> None:
    code = np.linspace(0.05, 0.95, 30)
    expected = code + 0.1 * np.sin(np.pi * code) - 0.02 * np.sin(2 * np.pi * code)
    np.testing.assert_allclose(encode_srgb(ToneCurve(0.1, 0.02).apply(decode_srgb(code))), expected, atol=1e-4)


def test_no_curve_leaves_readings_as_they_are() -> None:
    readings = np.array([-0.1, 0.0, 0.3, 1.4], np.float32)
    np.testing.assert_array_equal(NO_CURVE.undo(readings), readings)
    assert ToneCurve(0.1).undo(readings).dtype == np.float32
