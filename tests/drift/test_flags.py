from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from tests.drift.made import DARK_SKIN, PIGMENT, SKIN, WARM, YEAR, cycle_of, day, faded, measured, reading
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_to_linear, linear_to_lab
from webapp.drift.assessment import assess
from webapp.drift.cycles import Cycle
from webapp.drift.flags import NEEDS_A_LOOK, Flag
from webapp.drift.reading import Reading
from webapp.drift.thresholds import Thresholds, is_dark

OFTEN = (1.5, 3, 5, 7, 9, 11, 13, 15)
STANDARD = Thresholds()


def cycle_through(
    pigment: Callable[[float], Floats],
    months: Sequence[float] = YEAR,
    skin: Callable[[float], Floats | None] = lambda _: SKIN,
) -> Cycle:
    return cycle_of([reading(m, pigment(m), skin(m)) for m in months])


def flag_of(cycle: Cycle, thresholds: Thresholds = STANDARD) -> Flag:
    return assess(cycle, thresholds).flag


def turning(direction: Floats, a_month: float) -> Callable[[float], Floats]:
    return lambda m: PIGMENT + direction * a_month * (m - OFTEN[0])


def test_what_does_not_change_is_steady() -> None:
    flag = flag_of(cycle_through(lambda _: PIGMENT, OFTEN))
    assert flag.kind == "steady"
    assert flag.severity == pytest.approx(0, abs=0.01)
    assert "8 photos" in flag.sentence
    assert flag.caution == ""


def test_what_turns_warm_is_warm() -> None:
    flag = flag_of(cycle_through(turning(WARM, 0.5), OFTEN))
    assert flag.kind == "warm"
    assert "warmer" in flag.sentence
    assert flag.severity == pytest.approx(0.5 * 13.5 / 1.8, rel=0.1)


def test_what_turns_cool_is_ashy() -> None:
    flag = flag_of(cycle_through(turning(-WARM, 0.5), OFTEN))
    assert flag.kind == "ashy"
    assert "cooler" in flag.sentence


def test_what_only_fades_is_fading_and_not_warm() -> None:
    """A cool brow that fades looks warmer as the skin shows through; that is no drift of its own."""
    cool = np.array([38.0, 1.0, 2.0])
    flag = flag_of(cycle_through(lambda m: faded(np.exp(-0.057 * (m - OFTEN[0])), pigment=cool), OFTEN))
    assert flag.kind == "fading"
    assert "54 %" in flag.sentence or "53 %" in flag.sentence or "55 %" in flag.sentence


def test_what_turns_cool_and_fades_is_ashy_and_says_both() -> None:
    flag = flag_of(cycle_through(lambda m: faded(1 - 0.035 * (m - 1.5)) - WARM * 0.5 * (m - 1.5), OFTEN))
    assert flag.kind == "ashy"
    assert "It is fading too" in flag.sentence


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
    flag = flag_of(cycle_of([reading(m) for m in months]))
    assert flag.kind == "too few photos"
    assert words in flag.sentence


def test_unsound_photos_do_not_count_as_photos() -> None:
    readings = [reading(2), reading(6), *(reading(m, sound=False) for m in (8, 10, 12))]
    assert flag_of(cycle_of(readings)).kind == "too few photos"


TANNED = np.array([54.0, 16.0, 25.0])


def test_one_latest_photo_of_changed_skin_is_left_out_and_said_so() -> None:
    flag = flag_of(cycle_through(lambda _: PIGMENT, OFTEN, lambda m: TANNED if m == OFTEN[-1] else SKIN))
    assert flag.kind == "steady"
    assert "7 photos" in flag.sentence
    assert "latest photo is left out" in flag.caution


def test_where_the_latest_photos_are_of_changed_skin_nothing_is_said_of_the_pigment() -> None:
    for pigment in (turning(WARM, 0.5), turning(WARM, 0.0)):
        flag = flag_of(cycle_through(pigment, OFTEN, lambda m: TANNED if m >= OFTEN[-2] else SKIN))
        assert flag.kind == "skin or light changed"
        assert "nothing is said of the pigment" in flag.sentence
        assert flag.changes


def test_where_changed_skin_leaves_too_few_photos_it_is_named_as_the_reason() -> None:
    flag = flag_of(cycle_through(lambda _: PIGMENT, (1.5, 5, 9), lambda m: TANNED if m == 5 else SKIN))
    assert flag.kind == "skin or light changed"
    assert "1 of 3 photos" in flag.sentence


def test_what_spreads_unevenly_grows_patchy() -> None:
    readings = [
        Reading(i, day(m), measured(PIGMENT, 0.05 * np.exp(0.12 * m)), measured(SKIN)) for i, m in enumerate(OFTEN)
    ]
    flag = flag_of(cycle_of(readings))
    assert flag.kind == "patchy"
    assert flag.severity == pytest.approx(np.exp(0.12 * 13.5) / 1.5, rel=0.01)
    assert flag.passed


@pytest.mark.parametrize(
    ("hue", "kind", "word"),
    [
        (-10, "warm", "pink"),
        (30, "warm", "red"),
        (72, "warm", "orange"),
        (168, "ashy", "green"),
        (232, "ashy", "grey-blue"),
        (292, "ashy", "violet"),
    ],
)
def test_a_drift_is_called_by_where_it_goes(hue: float, kind: str, word: str) -> None:
    way = np.array([0.0, np.cos(np.radians(hue)), np.sin(np.radians(hue))])
    flag = flag_of(cycle_through(turning(way, 0.7), OFTEN))
    assert (flag.kind, flag.which) == (kind, word)
    assert f"towards {word}" in flag.sentence


def test_a_flag_says_what_would_change_it_and_what_it_passed() -> None:
    flag = flag_of(cycle_through(turning(WARM, 0.5), OFTEN))
    assert "One more photo" in flag.changes
    assert "weeks" in flag.changes
    assert any("Leow" in p for p in flag.passed)


def test_a_drift_that_is_sure_is_called_before_it_passes_its_threshold() -> None:
    often = tuple(np.linspace(1.5, 10, 30))
    flag = flag_of(cycle_through(turning(WARM, 0.18), often))
    assert flag.kind == "warm"
    assert flag.severity < 1
    assert "within a year" in flag.sentence
    assert flag.passed == ()


def test_photos_without_bare_skin_speak_for_caution() -> None:
    assert "Without bare skin" in flag_of(cycle_through(lambda _: PIGMENT, OFTEN, lambda _: None)).caution


def test_a_tan_is_no_ashy_drift() -> None:
    tan = np.array([0.75, 0.68, 0.6])

    def tanned(lab: Floats, months: float) -> Floats:
        return linear_to_lab(lab_to_linear(lab) * tan ** (months / 15))

    flag = flag_of(cycle_through(lambda m: tanned(PIGMENT, m), OFTEN, lambda m: tanned(SKIN, m)))
    assert flag.kind not in ("ashy", "warm", "fading")
    assert flag.caution


def test_noise_that_drowns_the_threshold_is_not_called_steady() -> None:
    """Four photos and wild lighting, many times: the photos cannot tell, and few flags may claim that all is well."""
    kinds = []
    for seed in range(40):
        scatter = dict(zip(OFTEN, np.random.default_rng(seed).normal(0, 4, (8, 3)), strict=True))
        flag = flag_of(cycle_through(lambda m, s=scatter: PIGMENT + s[m], OFTEN[:3] + OFTEN[-1:]))
        kinds.append(flag.kind)
        if flag.kind == "too few photos":
            assert "cannot tell" in flag.sentence
    assert kinds.count("steady") <= 4
    assert kinds.count("too few photos") >= 24


def test_dark_skin_bears_a_larger_drift() -> None:
    """Leow et al. 2006: 1.8 is no longer accepted beside fair skin, 2.6 beside dark."""
    drift = 2.3 / 13.5
    pigment = np.array([26.0, 6.0, 7.0])
    fine = replace(STANDARD)
    series = {
        name: cycle_through(lambda m, p=p: p + WARM * drift * (m - 1.5), np.linspace(1.5, 15, 40), lambda _, s=s: s)
        for name, p, s in (("fair", PIGMENT, SKIN), ("dark", pigment, DARK_SKIN))
    }
    assert is_dark(DARK_SKIN)
    assert not is_dark(SKIN)
    fair, dark = flag_of(series["fair"], fine), flag_of(series["dark"], fine)
    assert fair.passed
    assert not dark.passed
    assert fair.severity > 1 > dark.severity


def test_the_studios_own_thresholds_are_used() -> None:
    series = cycle_through(turning(WARM, 0.5), OFTEN)
    assert flag_of(series, replace(STANDARD, unacceptable_fair=20.0)).kind != "warm"
    fades = cycle_through(lambda m: faded(1 - 0.01 * (m - OFTEN[0])), np.linspace(1.5, 15, 40))
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
    assert len(set(NEEDS_A_LOOK)) == len(NEEDS_A_LOOK) == 7


def test_sentences_carry_true_minus_signs_and_end_in_a_stop() -> None:
    for a_month in (-0.5, -0.05, 0.0, 0.05, 0.5):
        flag = flag_of(cycle_through(turning(WARM, a_month), YEAR))
        assert flag.sentence.endswith(".")
        assert " -" not in flag.sentence
