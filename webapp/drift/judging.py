"""From a cycle's trend to its flag: which thresholds are passed, and whether the photos can tell at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from webapp.drift.flags import DRIFTS, Flag, FlagKind
from webapp.drift.next_photo import NextPhoto
from webapp.drift.outliers import MOVED, ODD
from webapp.drift.outlook import AHEAD_MONTHS
from webapp.drift.own_shift import OwnShift
from webapp.drift.series import Point
from webapp.drift.thresholds import OUR_CHOICE, SOURCE, Thresholds
from webapp.drift.trend import Trend

FEWEST_PHOTOS = 3
"""With two photos nothing shows how far they scatter, so no drift is called by them."""
SHORTEST_MONTHS = 2.0
"""A cycle observed for less shows the noise of its days, not a drift."""
CHANCE_OF_WARMTH, CHANCE_OF_CROSS = 0.036, 0.004
"""A shift along or across the warmth axis is called one where none would look like it less often than this."""
SURE_FADING, SURE_PATCHY = 0.99, 0.998
"""The probability from which on fading or growing patchy is called so. With the chances above, chance alone flags one
steady work in twenty at most."""
_OPEN = 0.5
"""Where a shift beyond the threshold is more likely than this and yet not sure, the photos cannot tell."""


@dataclass(frozen=True)
class Case:
    """What a cycle's verdict rests on: its series, its trend, its own shift with common practice alone weighed in, and
    what one more photo would tell."""

    series: Sequence[Point]
    trend: Trend | None
    tempered: OwnShift | None
    ahead: NextPhoto | None

    @property
    def healed(self) -> list[Point]:
        """The points judged by."""
        return [p for p in self.series if p.state == "healed"]

    @property
    def old_enough(self) -> list[Point]:
        """The points judged by, and those left out because they do not fit."""
        return [p for p in self.series if p.state == "healed" or p.because in (MOVED, ODD)]


def judge(case: Case, thresholds: Thresholds) -> Flag:
    """Judge a cycle.

    Warm and ashy go by the shift that fading alone does not explain: a brow that only fades comes to look
    like the skin under it, which is warm, and is called fading. Where the skin or the light changed in the latest
    photos, no verdict is given.
    """
    silent = _silent(case)
    if silent is not None:
        return silent
    trend = case.trend
    if trend is None or case.tempered is None or trend.photos < FEWEST_PHOTOS or trend.months < SHORTEST_MONTHS:
        return _too_few(case)
    limit = limit_of(case.healed, thresholds)
    basis = f"over {trend.photos} photos in {trend.months:.0f} months"
    found = [
        flag
        for flag in (_shift(trend.own, limit, basis), _fade(trend, basis, thresholds), _patch(trend, basis, thresholds))
        if flag is not None
    ]
    flag = found[0] if found else _nothing(case, case.tempered, trend, limit, basis)
    also = "".join(f" It is {f.kind} too: {f.sentence[0].lower()}{f.sentence[1:]}" for f in found[1:])
    return replace(
        flag,
        sentence=flag.sentence + also,
        passed=tuple(words for f in found for words in f.passed),
        caution=_caution(case),
        changes=_changes(case, flag),
    )


def limit_of(healed: Sequence[Point], thresholds: Thresholds) -> float:
    """Give the ΔE*ab that most would no longer accept beside the skin of a cycle's baseline."""
    skin = healed[0].baseline.skin
    return thresholds.unacceptable(None if skin is None else skin.lab)


def _shift(own: OwnShift, limit: float, basis: str) -> Flag | None:
    """Call a shift that the photos show to be one, once it has passed the threshold or will within a year."""
    chances = (CHANCE_OF_WARMTH, CHANCE_OF_CROSS)
    called = any(2 * (1 - own.along(i).chance_of_sign) <= chances[i] for i in (0, 1))
    towards = own.towards
    if not called or towards.per_month * (own.span + AHEAD_MONTHS) < limit:
        return None
    kind: FlagKind = "warm" if own.warm else "ashy"
    which, _ = own.word()
    low, high = (v * towards.span for v in towards.interval)
    there = own.change >= limit
    bound = (
        f"from {limit:.1f} on, such a difference counts as no longer acceptable"
        if there
        else f"at this rate it passes {limit:.1f}, which counts as no longer acceptable, within a year"
    )
    return Flag(
        kind,
        own.change / limit,
        f"Beyond what fading explains, the colour has gone {own.change:.1f} ({signed(low)} to {signed(high)}, 95 %) "
        f"{'warmer' if own.warm else 'cooler'}{f', towards {which}' if which else ''}, {basis}; {bound}.",
        which=which,
        passed=(f"no longer acceptable, ΔE*ab {limit:.1f}: {SOURCE}",) if there else (),
    )


def _fade(trend: Trend, basis: str, thresholds: Thresholds) -> Flag | None:
    fading = trend.fading
    if fading is None:
        return None
    lost, low, high = fading.share_lost(fading.rate.span)
    if lost < thresholds.density_lost or fading.rate.chance_above(0) < SURE_FADING:
        return None
    return Flag(
        "fading",
        lost / thresholds.density_lost,
        f"{lost * 100:.0f} % ({max(low, 0) * 100:.0f} to {high * 100:.0f} %) of the density at the baseline is gone "
        f"{basis}.",
        passed=(f"fading, {thresholds.density_lost * 100:.0f} % of the density lost: {OUR_CHOICE}",),
    )


def _patch(trend: Trend, basis: str, thresholds: Thresholds) -> Flag | None:
    rate = trend.spread
    grown = float(np.exp(rate.change))
    if grown < thresholds.patchy_growth or rate.chance_above(0) < SURE_PATCHY:
        return None
    low, high = (float(np.exp(v * rate.span)) for v in rate.interval)
    return Flag(
        "patchy",
        grown / thresholds.patchy_growth,
        f"The spread of lightness within the outline has grown to {grown:.1f} times ({low:.1f} to {high:.1f}) {basis}.",
        passed=(f"patchy, spread within the outline {thresholds.patchy_growth:.1f} times the first: {OUR_CHOICE}",),
    )


def _nothing(case: Case, tempered: OwnShift, trend: Trend, limit: float, basis: str) -> Flag:
    """Steady, or where a drift past the threshold is as likely as not, nothing that the photos can tell."""
    gone = ""
    if trend.fading is not None:
        gone = f"; density lost {max(trend.fading.share_lost(trend.fading.rate.span)[0], 0) * 100:.0f} %"
    if tempered.chance_beyond(limit) > _OPEN:
        return Flag(
            "too few photos",
            0.0,
            f"The photos cannot tell yet {basis}: beyond fading the colour may have gone past {limit:.1f}, or nowhere "
            f"(it seems {tempered.change:.1f}){gone}.",
        )
    warmth = tempered.along(0)
    return Flag(
        "steady",
        tempered.change / limit,
        f"No warm or ashy drift to be seen {basis}: beyond fading {signed(warmth.change, '+')} ± "
        f"{warmth.change_half_width:.1f} of warmth, threshold {limit:.1f}{gone}.",
    )


def _silent(case: Case) -> Flag | None:
    """Say that the skin or the light changed, where that leaves nothing sound to judge by at the end of the cycle."""
    moved = [p for p in case.old_enough if p.because == MOVED]
    ends = len(moved) > 1 and all(p.because == MOVED for p in case.old_enough[-2:])
    starved = bool(moved) and len(case.healed) < FEWEST_PHOTOS <= len(case.healed) + len(moved)
    if not ends and not starved:
        return None
    which = "the latest photos" if ends else f"{len(moved)} of {len(case.old_enough)} photos"
    return Flag(
        "skin or light changed",
        0.0,
        f"The bare skin itself reads differently in {which} than usual in this cycle (tan, redness, another lamp), so "
        "nothing is said of the pigment.",
        changes="A photo under the usual lamp, once the skin is as usual again, would allow a verdict. Where you know "
        "that only the lamp differed, you can set such a photo as the baseline, with your reason.",
    )


def _too_few(case: Case) -> Flag:
    healed = case.healed
    if not healed:
        why = "There is no sound healed photo in this cycle yet."
    elif len(healed) < FEWEST_PHOTOS or case.trend is None:
        count = f"{len(healed)} sound healed photo{'s' * (len(healed) != 1)}"
        why = f"This cycle has {count}; a drift can be judged from {FEWEST_PHOTOS} on different days on."
    else:
        why = (
            f"The healed photos of this cycle span only {case.trend.months:.1f} months; from {SHORTEST_MONTHS:.0f} on "
            "a drift can be told from noise."
        )
    if len(healed) > 1 and healed[-1].comparison.best.real:
        step = healed[-1].comparison.best
        why += f" The latest differs from the baseline by ΔE00 {step.delta_e:.1f}, more than noise ({step.limit:.1f})."
    flag = Flag("too few photos", 0.0, why, caution=_caution(case))
    return replace(flag, changes=_changes(case, flag))


def _caution(case: Case) -> str:
    if not case.healed:
        return ""
    words = []
    latest = case.old_enough[-1].because
    if latest == MOVED:
        words.append(
            "The latest photo is left out: its bare skin itself reads differently (tan, redness, another lamp)."
        )
    elif latest == ODD:
        words.append(
            "The latest photo does not fit the others and is left out; one more will show whether the photo was amiss "
            "or the work has changed at once."
        )
    if case.healed[-1].density is None:
        words.append("Without bare skin in the photos only the card holds them together, so the noise is larger.")
    return " ".join(words)


def _changes(case: Case, flag: Flag) -> str:
    ahead = case.ahead
    if ahead is None:
        return "One more healed photo on another day."
    words = (
        f"One more photo {ahead.weeks} weeks after the latest would narrow the yearly rate of warmth from "
        f"± {ahead.half_width:.1f} to ± {ahead.half_width_then:.1f}"
    )
    return words + ("; reading like the baseline, it would speak against the flag." if flag.kind in DRIFTS else ".")


def signed(value: float, plus: str = "") -> str:
    """Give a figure with one decimal and a true minus sign, and a plus where asked."""
    return f"{round(value, 1) + 0.0:{plus}.1f}".replace("-", "−")
