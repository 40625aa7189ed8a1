"""The series of a cycle: every reading against the baseline, in one reckoning for all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from webapp.colorimetry.density import density
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import lab_slopes, lab_to_linear, linear_to_lab
from webapp.colorimetry.measured import MeasuredColour
from webapp.colorimetry.warmth import WARM_DIRECTION, warmth
from webapp.drift.change import Comparison, anchor, compare
from webapp.drift.cycles import Cycle
from webapp.drift.noise import ANCHORED_CAMERA_SD, DENSITY_CAMERA_SD
from webapp.drift.reading import Reading, months_between

_STEP = 1e-3
_LEAST_LIGHT = 1e-4


@dataclass(frozen=True, eq=False)
class Point:
    """One reading in its cycle's series.

    `months` since the session; `lab` (3,) anchored where possible, with its own (3, 3) `covariance`; `density` and
    its `density_sd`, None without bare skin; `faded` is the (3,) colour that mere fading would have given, the
    anchored colour itself where there is no skin to fade towards; `state` is "healing", "healed" or "set aside",
    the last with the words why in `because`.

    `own_noise` and `own_origin`, (2, 3) each, say how errors of this colour and of the baseline's move `own`.
    """

    reading: Reading
    baseline: Reading
    months: float
    state: str
    because: str
    lab: Floats
    covariance: Floats
    density: float | None
    density_sd: float | None
    faded: Floats | None
    own_noise: Floats
    own_origin: Floats

    @cached_property
    def comparison(self) -> Comparison:
        """This reading compared with the baseline, by the card alone and anchored."""
        return compare(self.baseline.pigment, self.baseline.skin, self.reading.pigment, self.reading.skin)

    @property
    def own(self) -> Floats:
        """The (2,) a*, b* beyond what fading explains: the pigment's own shift. Without bare skin, all of it."""
        return np.asarray(self.lab[1:] - (0 if self.faded is None else self.faded[1:]))

    @property
    def own_warmth(self) -> float:
        """Warmth beyond what fading explains."""
        return float(self.own @ WARM_DIRECTION)

    @property
    def faded_warmth(self) -> float | None:
        """The warmth that mere fading would have given; None without bare skin."""
        return None if self.faded is None else float(warmth(self.faded))


def make_series(
    cycle: Cycle, baseline: Reading | None = None, left_out: dict[int, str] | None = None
) -> tuple[Point, ...]:
    """Give a cycle's points in order of time; none where there is no baseline yet.

    `baseline` is another healed reading than the cycle's own to compare with; `left_out` gives, by key, the words
    why healed readings are set aside.
    """
    baseline = baseline or cycle.baseline
    if baseline is None:
        return ()
    readings = cycle.readings
    states = [_state(cycle, baseline, r, left_out or {}) for r in readings]
    anchored = [i for i, r in enumerate(readings) if baseline.skin is not None and r.skin is not None]
    parts: dict[int, Point] = dict(zip(anchored, _anchored(cycle, baseline, anchored, states), strict=True))
    return tuple(parts.get(i) or _by_card(cycle, baseline, r, states[i]) for i, r in enumerate(readings))


def _state(cycle: Cycle, baseline: Reading, reading: Reading, left_out: dict[int, str]) -> tuple[str, str]:
    if reading in cycle.healing:
        return "healing", ""
    if reading in cycle.set_aside:
        return "set aside", "graded “retake”"
    if baseline.skin is not None and reading.skin is None:
        # Among anchored colours one by the card alone is of another kind: it is shown, and not judged by.
        return "set aside", "no bare skin in it to compare by"
    if reading.key in left_out:
        return "set aside", left_out[reading.key]
    return "healed", ""


def _by_card(cycle: Cycle, baseline: Reading, reading: Reading, state: tuple[str, str]) -> Point:
    plane = np.eye(3)[1:]
    months = months_between(cycle.session.on, reading.on)
    colour = reading.pigment
    # Without skin nothing is told from the baseline but by itself: its error is its own.
    return Point(
        reading, baseline, months, *state, colour.lab, colour.covariance, None, None, None, plane, np.zeros((2, 3))
    )


def _anchored(cycle: Cycle, baseline: Reading, which: Sequence[int], states: Sequence[tuple[str, str]]) -> list[Point]:
    if not which or baseline.skin is None:
        return []
    readings = [cycle.readings[i] for i in which]
    skins = [r.skin for r in readings if r.skin is not None]
    pigment, skin = (np.array([c.lab for c in colours]) for colours in ([r.pigment for r in readings], skins))
    lab = anchor(pigment, skin, baseline.skin.lab)
    # Each colour's own error is that of its pigmented against its own bare skin. The anchor's error is common to
    # all of them, moves the level and no rate, and is left out.
    relative = relative_spread([r.pigment for r in readings]) + relative_spread(skins)
    light = lab_to_linear(lab)
    slopes = lab_slopes(light) * light[:, None, :]
    # Half of what two photos differ by falls to each.
    covariance = slopes @ relative @ slopes.swapaxes(1, 2) + np.diag(ANCHORED_CAMERA_SD**2 / 2)
    seen = density(pigment, skin)
    low, high = (_density_at(lab, baseline.skin.lab, s) for s in (-_STEP, _STEP))
    density_slope = (high - low) / (2 * _STEP)
    seen_sd = np.sqrt(
        density_slope**2 * (covariance[:, 0, 0] - ANCHORED_CAMERA_SD[0] ** 2 / 2) + DENSITY_CAMERA_SD**2 / 2
    )
    faded, own_noise, own_origin = _fading_path(baseline, seen, density_slope)
    return [
        Point(
            r,
            baseline,
            months_between(cycle.session.on, r.on),
            *states[which[i]],
            lab[i],
            covariance[i],
            float(seen[i]),
            float(seen_sd[i]),
            faded[i],
            own_noise[i],
            own_origin[i],
        )
        for i, r in enumerate(readings)
    ]


def relative_spread(colours: Sequence[MeasuredColour]) -> Floats:
    """Give the (n, 3, 3) covariances that pixel noise leaves in ln of the linear light of n colours."""
    light = np.maximum(lab_to_linear(np.array([c.lab for c in colours])), _LEAST_LIGHT)
    back = np.linalg.inv(lab_slopes(light)) / light[:, :, None]
    return np.asarray(back @ np.array([c.spread for c in colours]) @ back.swapaxes(1, 2))


def _density_at(lab: Floats, skin: Floats, step: float) -> Floats:
    return density(lab + np.array([step, 0.0, 0.0]), skin)


def _fading_path(baseline: Reading, seen: Floats, density_slope: Floats) -> tuple[Floats, Floats, Floats]:
    """Give the (n, 3) colours of mere fading, and the (n, 2, 3) slopes of the pigment's own shift in a*, b* by the
    error of each colour (through its density too) and by that of the baseline's."""
    assert baseline.skin is not None
    skin, start = baseline.skin.lab, baseline.pigment.lab
    moved = np.vstack([start, start, start + _STEP * np.eye(3)])
    left = np.vstack([seen, seen + _STEP, seen, seen, seen])
    at, denser, *others = faded_colour(moved[:, None, :], skin, left)
    by_density = (denser - at)[:, 1:] / _STEP
    own_noise = np.zeros((len(seen), 2, 3))
    own_noise[:, 0, 1] = own_noise[:, 1, 2] = 1.0
    own_noise[:, :, 0] = -by_density * density_slope[:, None]
    own_origin = -np.stack([(o - at)[:, 1:] / _STEP for o in others], axis=2)
    return at, own_noise, own_origin


def faded_colour(pigment: Floats, skin: Floats, left: float | Floats) -> Floats:
    """Give the (…, 3) colour of (…, 3) pigmented skin whose pigment has only faded, until (…) `left` density is seen.

    Every channel's density shrinks in proportion: the same pigment, less of it. The luminance density of the
    result is `left` to within the mixing of channels.
    """
    bare = np.maximum(lab_to_linear(skin), _LEAST_LIGHT)
    filtered = np.maximum(lab_to_linear(pigment), _LEAST_LIGHT)
    start = density(pigment, skin)
    there = np.abs(start) >= 1e-3
    share = np.where(there, np.asarray(left) / np.where(there, start, 1.0), 1.0)
    colour = linear_to_lab(bare * (filtered / bare) ** share[..., None])
    return np.where(there[..., None], colour, np.broadcast_to(pigment, colour.shape))
