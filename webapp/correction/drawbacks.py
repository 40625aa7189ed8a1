"""What speaks against an option: too deep, past the aim, muddy, too dense, or soon away from the aim again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import chroma

Kind = Literal["overshoots", "muddies", "too dense", "drifts away"]
_MUDDY = 2.0
"""Drop of C* below both the present colour and the aim. Our own choice, no source."""


@dataclass(frozen=True)
class Limits:
    """From where on a step counts: what is `acceptable` in ΔE, and the greatest `density` that work here is made to.

    `density_basis` says where the latter comes from.
    """

    acceptable: float
    density: float
    density_basis: str


@dataclass(frozen=True)
class Drawback:
    """One thing against an option, in a word and a sentence."""

    kind: Kind
    sentence: str


def drawbacks(
    present: Floats, aim: Floats, healed: Floats, year_on: Floats, density: float, limits: Limits
) -> tuple[Drawback, ...]:
    """Give what speaks against a (3,) colour expected when healed and (3,) a year on."""
    found: list[Drawback] = []
    below = float(aim[0] - healed[0])
    past = _past(present, aim, healed)
    if below > limits.acceptable:
        found.append(Drawback("overshoots", f"It would end {below:.1f} L* deeper than the aim."))
    elif past > limits.acceptable:
        found.append(Drawback("overshoots", f"Its hue would go {past:.1f} past the aim."))
    dull = float(min(chroma(present), chroma(aim)) - chroma(healed))
    if dull > _MUDDY:
        found.append(
            Drawback(
                "muddies", f"C* would fall {dull:.1f} below both the present colour and the aim: it turns greyish."
            )
        )
    if density > limits.density:
        found.append(
            Drawback(
                "too dense", f"Density would come to {density:.2f}, above {limits.density:.2f}: {limits.density_basis}"
            )
        )
    now, later = float(delta_e_00(present, aim)), float(delta_e_00(year_on, aim))
    if later > now:
        found.append(
            Drawback(
                "drifts away",
                f"A year on it is expected ΔE00 {later:.1f} from the aim, no nearer than today's {now:.1f}.",
            )
        )
    return tuple(found)


def _past(present: Floats, aim: Floats, healed: Floats) -> float:
    """How far the healed colour lies beyond the aim in the a*b* plane, along the way there."""
    way = (aim - present)[1:]
    length = float(np.hypot(*way))
    if length < 1e-6:
        return float(np.hypot(*(healed - aim)[1:]))
    return float((healed - aim)[1:] @ way / length)
