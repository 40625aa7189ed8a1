from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from tests.drift.made import DARK_SKIN, PIGMENT, SKIN, WARM, YEAR, cycle_of, faded, reading, series_of
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.drift.flags import NEEDS_A_LOOK, Flag, judge
from webapp.drift.series import Point, make_series
from webapp.drift.thresholds import Thresholds, is_dark
from webapp.drift.trend import fit_trend

OFTEN = (1.5, 3, 5, 7, 9, 11, 13, 15)
STANDARD = Thresholds()


def flag_of(series: tuple[Point, ...], thresholds: Thresholds = STANDARD) -> Flag:
    return judge(series, fit_trend(series), thresholds)


def turning(direction: Floats, a_month: float) -> Callable[[float], Floats]:
    return lambda m: PIGMENT + direction * a_month * (m - OFTEN[0])


def test_what_does_not_change_is_steady() -> None:
    flag = flag_of(series_of(lambda _: PIGMENT, OFTEN))
    assert flag.kind == "steady"
    assert flag.severity == pytest.approx(0, abs=0.01)
    assert "8 photos" in flag.sentence
    assert flag.caution == ""


def test_what_turns_warm_is_warm() -> None:
    flag = flag_of(series_of(turning(WARM, 0.5), OFTEN))
    assert flag.kind == "warm"
    assert "warmer" in flag.sentence
    assert flag.severity == pytest.approx(0.5 * 13.5 / 1.8, rel=0.1)


def test_what_turns_cool_is_ashy() -> None:
    flag = flag_of(series_of(turning(-WARM, 0.5), OFTEN))
    assert flag.kind == "ashy"
    assert "cooler" in flag.sentence


def test_what_only_fades_is_fading_and_not_warm() -> None:
    """A cool brow that fades looks warmer as the skin shows through; that is no drift of its own."""
    cool = np.array([38.0, 1.0, 2.0])
    flag = flag_of(series_of(lambda m: faded(1 - 0.04 * (m - OFTEN[0]), pigment=cool), OFTEN))
    assert flag.kind == "fading"
    assert "54 %" in flag.sentence or "53 %" in flag.sentence or "55 %" in flag.sentence


def test_what_turns_cool_and_fades_is_ashy_and_says_both() -> None:
    flag = flag_of(series_of(lambda m: faded(1 - 0.035 * (m - 1.5)) - WARM * 0.5 * (m - 1.5), OFTEN))
    assert flag.kind == "ashy"
    assert "It has also faded" in flag.sentence


@pytest.mark.parametrize(
    ("months", "words"),
    [
        ((), "no sound healed photo"),
        ((2,), "has 1 sound healed photo;"),
        ((2, 6), "has 2 sound healed photos;"),
        ((1.5, 2, 3), "span only 1.5 months"),
    ],
)
def test_too_few_photos_are_called_so(months: tuple[float, ...], words: str) -> None:
    flag = flag_of(make_series(cycle_of([reading(m) for m in months])))
    assert flag.kind == "too few photos"
    assert words in flag.sentence


def test_unsound_photos_do_not_count_as_photos() -> None:
    readings = [reading(2), reading(6), *(reading(m, sound=False) for m in (8, 10, 12))]
    assert flag_of(make_series(cycle_of(readings))).kind == "too few photos"


def test_a_skin_that_changed_speaks_for_caution() -> None:
    tanned = np.array([56.0, 15.0, 23.0])
    flag = flag_of(series_of(lambda _: PIGMENT, OFTEN, lambda m: tanned if m == OFTEN[-1] else SKIN))
    assert "skin or the light changed" in flag.caution


def test_photos_without_bare_skin_speak_for_caution() -> None:
    assert "Without bare skin" in flag_of(series_of(lambda _: PIGMENT, OFTEN, lambda _: None)).caution


def test_a_tan_is_no_ashy_drift() -> None:
    tan = np.array([0.75, 0.68, 0.6])

    def tanned(lab: Floats, months: float) -> Floats:
        return linear_to_lab(lab_to_linear(lab) * tan ** (months / 15))

    flag = flag_of(series_of(lambda m: tanned(PIGMENT, m), OFTEN, lambda m: tanned(SKIN, m)))
    assert flag.kind not in ("ashy", "warm", "fading")
    assert flag.caution


def test_noise_that_drowns_the_threshold_is_not_called_steady() -> None:
    """Three photos and wild lighting: the photos cannot tell, and the flag must not claim that all is well."""
    scatter = dict(zip(OFTEN, np.random.default_rng(3).normal(0, 6, (8, 3)), strict=True))
    flag = flag_of(series_of(lambda m: PIGMENT + scatter[m], OFTEN[:3] + OFTEN[-1:]))
    assert flag.kind == "too few photos"
    assert "cannot tell" in flag.sentence


def test_dark_skin_bears_a_larger_drift() -> None:
    """Leow et al. 2006: 1.8 is no longer accepted beside fair skin, 2.6 beside dark."""
    drift = 2.3 / 13.5
    pigment = np.array([26.0, 6.0, 7.0])
    fine = replace(STANDARD)
    series = {
        name: series_of(lambda m, p=p: p + WARM * drift * (m - 1.5), np.linspace(1.5, 15, 40), lambda _, s=s: s)
        for name, p, s in (("fair", PIGMENT, SKIN), ("dark", pigment, DARK_SKIN))
    }
    assert is_dark(DARK_SKIN)
    assert not is_dark(SKIN)
    assert flag_of(series["fair"], fine).kind == "warm"
    assert flag_of(series["dark"], fine).kind != "warm"


def test_the_studios_own_thresholds_are_used() -> None:
    series = series_of(turning(WARM, 0.5), OFTEN)
    assert flag_of(series, replace(STANDARD, unacceptable_fair=20.0)).kind != "warm"
    fades = series_of(lambda m: faded(1 - 0.01 * (m - OFTEN[0])), np.linspace(1.5, 15, 40))
    assert flag_of(fades, replace(STANDARD, density_lost=0.1)).kind == "fading"
    assert flag_of(fades, replace(STANDARD, density_lost=0.2)).kind != "fading"


def test_flags_sort_by_what_needs_a_look_and_then_by_how_far() -> None:
    flags = [
        Flag(kind, severity, "")
        for kind, severity in (
            ("steady", 0.9),
            ("warm", 1.1),
            ("ashy", 1.2),
            ("ashy", 3.0),
            ("fading", 2.0),
            ("too few photos", 0.0),
        )
    ]
    ordered = sorted(flags, key=lambda f: f.order)
    assert [(f.kind, f.severity) for f in ordered[:3]] == [("ashy", 3.0), ("ashy", 1.2), ("warm", 1.1)]
    assert ordered[-1].kind == "steady"
    assert len(set(NEEDS_A_LOOK)) == 5


def test_sentences_carry_true_minus_signs_and_end_in_a_stop() -> None:
    for a_month in (-0.5, -0.05, 0.0, 0.05, 0.5):
        flag = flag_of(series_of(turning(WARM, a_month), YEAR))
        assert flag.sentence.endswith(".")
        assert " -" not in flag.sentence
