"""The flag of a work: steady, ashy, warm, fading or too few photos, with the sentence why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from webapp.drift.series import Point
from webapp.drift.thresholds import Thresholds
from webapp.drift.trend import FEWEST_PHOTOS, Trend

FlagKind = Literal["ashy", "warm", "fading", "steady", "too few photos"]
NEEDS_A_LOOK: tuple[FlagKind, ...] = ("ashy", "warm", "fading", "too few photos", "steady")
"""The flags in the order in which they want the artist's eye."""
_SHORTEST_MONTHS = 2.0
"""A cycle observed for less shows the noise of its days, not a drift."""


_BLUNT = 2.0
"""Where noise alone reaches this many thresholds, the photos say nothing either way."""


@dataclass(frozen=True)
class Flag:
    """A verdict on a cycle.

    `severity` is the drift as a multiple of its threshold, for sorting; `sentence` says why, `caution` what
    speaks against trusting it.
    """

    kind: FlagKind
    severity: float
    sentence: str
    caution: str = ""

    @property
    def order(self) -> tuple[int, float]:
        """Sorts what needs a look first to the front."""
        return NEEDS_A_LOOK.index(self.kind), -self.severity


def judge(series: Sequence[Point], trend: Trend | None, thresholds: Thresholds) -> Flag:
    """Judge a cycle by its trend.

    Warm and ashy go by the warmth that fading alone does not explain: a brow that only fades comes to look
    like the skin under it, which is warm, and is called fading.
    """
    healed = [p for p in series if p.state == "healed"]
    if trend is None or trend.months < _SHORTEST_MONTHS:
        return _too_few(healed, trend)
    skin = healed[0].reading.skin
    limit = thresholds.unacceptable(None if skin is None else skin.lab)
    caution = _caution(healed)
    shift, lost = trend.own_warmth, _share_lost(trend)
    fading = lost is not None and lost >= thresholds.density_lost and trend.density is not None and trend.density.sure
    basis = f"over {trend.photos} photos in {trend.months:.0f} months"
    fading_too = (
        f" It has also faded: {lost * 100:.0f} % of its density is gone." if fading and lost is not None else ""
    )
    if shift.sure and abs(shift.change) >= limit:
        kind: FlagKind = "warm" if shift.change > 0 else "ashy"
        way = "warmer" if shift.change > 0 else "cooler"
        return Flag(
            kind,
            abs(shift.change) / limit,
            f"Beyond what fading explains, the colour has turned {abs(shift.change):.1f} "
            f"± {shift.change_half_width:.1f} (95 %) {way} {basis}; from {limit:.1f} on, such a difference counts "
            f"as no longer acceptable.{fading_too}",
            caution,
        )
    if fading and lost is not None:
        return Flag(
            "fading",
            lost / thresholds.density_lost,
            f"{lost * 100:.0f} % of the density at the baseline is gone {basis}; beyond that the colour has turned "
            f"{_signed(shift.change)} ± {shift.change_half_width:.1f}, threshold {limit:.1f}.",
            caution,
        )
    seen = f"warmth beyond fading {_signed(shift.change)} ± {shift.change_half_width:.1f}, threshold {limit:.1f}"
    if abs(shift.change) >= limit or shift.change_half_width > _BLUNT * limit:
        return Flag(
            "too few photos",
            0.0,
            f"The photos so far cannot tell {basis}: {seen}. Another photo will tell more.",
            caution,
        )
    reach = abs(shift.change) + shift.change_half_width
    rest = f" A turn of up to {reach:.1f} cannot be ruled out yet." if reach > limit else ""
    latest = healed[-1].comparison.best
    if latest.real:
        rest += f" The latest photo differs by ΔE00 {latest.delta_e:.1f} in another direction; look at the charts."
    gone = "" if lost is None else f"; density lost {max(lost, 0) * 100:.0f} %"
    return Flag(
        "steady", abs(shift.change) / limit, f"No warm or ashy drift to be seen {basis}: {seen}{gone}.{rest}", caution
    )


def _too_few(healed: Sequence[Point], trend: Trend | None) -> Flag:
    if trend is not None:
        why = (
            f"The healed photos of this cycle span only {trend.months:.1f} months; from {_SHORTEST_MONTHS:.0f} on "
            "a drift can be told from noise."
        )
    elif not healed:
        why = "There is no sound healed photo in this cycle yet."
    else:
        count = f"{len(healed)} sound healed photo{'s' * (len(healed) != 1)}"
        why = f"This cycle has {count}; a drift can be judged from {FEWEST_PHOTOS} on different days on."
    return Flag("too few photos", 0.0, why)


def _share_lost(trend: Trend) -> float | None:
    if trend.density is None or not trend.density_at_start or trend.density_at_start <= 0.02:
        return None
    return -trend.density.change / trend.density_at_start


def _caution(healed: Sequence[Point]) -> str:
    latest = healed[-1].comparison
    if latest.skin_moved:
        return (
            "The bare skin itself reads differently in the latest photo than at the baseline: the skin or the light "
            "changed (tan, redness, another lamp). Judge with care, or photograph once more."
        )
    if latest.anchored is None:
        return "Without bare skin in the photos only the card holds them together, so the noise is larger."
    return ""


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−")
