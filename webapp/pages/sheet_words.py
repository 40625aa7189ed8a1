"""The sentences of the client's sheet: how the colour moved, what such pigments tend to do, what to mind."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.drift.groups import Group
from webapp.drift.pooling import Pooled
from webapp.pages.judgement import CycleVerdict
from webapp.pages.render import number, plain_day

_SURE = 1.96
PRACTICE = {
    "carbon/organic": "Carbon and organic pigments stay longer and tend to heal cool, the more so when dense.",
    "inorganic": "Iron-oxide pigments fade faster and tend to heal warm.",
    "hybrid": "Pigments that join iron oxides with carbon or organic colour lie between: they fade more slowly than "
    "iron oxides alone, and turn less to one side.",
    "unknown": "The pigment is not known, so nothing can be foretold from it; the photos alone show what it does.",
}
"""Common practice, no source."""


def moved(judged: CycleVerdict | None) -> str:
    """Say how the colour moved from the first healed photo to the latest, and whether that is more than noise."""
    healed = [] if judged is None else [p for p in judged.series if p.state == "healed"]
    if judged is None or judged.baseline is None or not healed:
        return "There is no sound healed photo yet, so nothing can be said of how the colour moved."
    latest = healed[-1]
    start, change = judged.baseline.on, latest.comparison.best
    if latest.reading.key == judged.baseline.key:
        return f"There is one healed photo, of {plain_day(start)}. The next one will show how the colour moves."
    span = f"From {plain_day(start)} to {plain_day(latest.reading.on)}"
    figures = f"ΔE00 {number(change.delta_e)}; up to {number(change.limit)} is noise"
    words = []
    if abs(change.lab[0]) > _SURE * change.sd[0]:
        words.append("lighter" if change.lab[0] > 0 else "deeper")
    if abs(change.warmth) > _SURE * change.warmth_sd:
        words.append("warmer" if change.warmth > 0 else "cooler")
    if change.real:
        told = f"{span} the colour became {' and '.join(words) or 'a little different'} ({figures})."
    else:
        told = f"{span} the colour shows no measurable change ({figures})."
    first = next(p for p in judged.series if p.reading.key == judged.baseline.key)
    if change.real and first.density and latest.density is not None:
        told += f" Of the pigment {_percent(max(latest.density / first.density, 0.0))} is left to see."
    if latest.comparison.skin_moved:
        told += " The skin itself or the light changed meanwhile, which the comparison can allow for in part only."
    return told


CHART = "Each dot is a photo, in the colour that was measured; inside the grey band a difference is mere noise."
"""What the sheet's chart shows."""


def tendency(family: str, groups: Sequence[Group]) -> tuple[str, str]:
    """Give what such pigments tend to do, and where that is from: the studio's own figures, else common practice.

    `groups` are the studio's, pooled by family over clients who agreed, rates per year.
    """
    own = next((g for g in groups if g.label == (family,)), None)
    if own is None or family == "unknown" or own.rests_on_too_few("fading"):
        return PRACTICE[family], "Common practice, no source; the studio has too few figures of its own."
    fading = own.rates["fading"]
    sentence = f"In this studio such work loses {_percent(fading.mean)} of its density a year{_interval(fading)}"
    turn = own.rates.get("own_warmth")
    if turn is not None and not own.rests_on_too_few("own_warmth"):
        low, high = turn.interval or (turn.mean, turn.mean)
        if low > 0 or high < 0:
            word = "warmer" if turn.mean > 0 else "cooler"
            sentence += f", and turns {word} by {number(abs(turn.mean))} a year beyond what fading explains"
        else:
            sentence += ", with no clear turn to warm or cool beyond what fading explains"
    return f"{sentence}.", f"The studio's own figures, from {fading.count} clients who agreed to be counted."


def _percent(share: float) -> str:
    return f"{number(100 * share, 0)}\xa0%"


def _interval(rate: Pooled) -> str:
    if rate.interval is None:
        return ""
    return f" (95 %: {_percent(rate.interval[0])} to {_percent(rate.interval[1])})"


def cautions(darkens_under_laser: bool) -> tuple[str, ...]:
    """Give what a client should know, short and calm."""
    laser = (
        "This pigment holds iron oxides or titanium dioxide, which can darken under a laser; say so before any laser "
        "treatment near it."
        if darkens_under_laser
        else "Say that there is pigment in the skin before any laser treatment near it; some pigments darken under it."
    )
    return (
        laser,
        "A mole, a lesion, swelling, itching or a reaction belongs to a doctor, before any photo or more pigment.",
        "Sun, peels and retinoids make pigment fade sooner (common practice, no source).",
        "This sheet tells of colour. It is no medical advice; removal is for licensed practitioners.",
    )
