"""The change from one photo to another: by the card alone, and anchored on the client's own bare skin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.density import density, density_slope
from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.lab import chroma, hue_change, lab_slopes, lab_to_linear, linear_to_lab
from webapp.colorimetry.measured import MeasuredColour
from webapp.colorimetry.warmth import WARM_DIRECTION, warmth
from webapp.drift.noise import ANCHORED_CAMERA_SD, DENSITY_CAMERA_SD, REAL_FROM, detection_limit, is_real, metric
from webapp.drift.shrinkage import believe, log_light, relative


@dataclass(frozen=True)
class Change:
    """From a colour `before` to a colour `after`, both (3,) CIELAB, with the (3, 3) covariance of the step."""

    before: Floats
    after: Floats
    covariance: Floats

    @property
    def lab(self) -> Floats:
        """ΔL*, Δa*, Δb*."""
        return np.asarray(self.after - self.before)

    @property
    def sd(self) -> Floats:
        """The (3,) standard deviations of ΔL*, Δa*, Δb*."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    @property
    def delta_e(self) -> float:
        """ΔE00."""
        return float(delta_e_00(self.before, self.after))

    @property
    def chroma(self) -> float:
        """ΔC*."""
        return float(chroma(self.after) - chroma(self.before))

    @property
    def hue(self) -> float:
        """Δh in degrees, −180 to 180."""
        return float(hue_change(self.before, self.after))

    @property
    def warmth(self) -> float:
        """Change of warmth: positive warmer."""
        return float(warmth(self.after) - warmth(self.before))

    @property
    def warmth_sd(self) -> float:
        """Standard deviation of the change of warmth."""
        return float(np.sqrt(WARM_DIRECTION @ self.covariance[1:, 1:] @ WARM_DIRECTION))

    @property
    def hue_sd(self) -> float:
        """Standard deviation of Δh in degrees, 180 at most: the error across the colour's own direction."""
        a, b = (self.before[1:] + self.after[1:]) / 2
        c = max(float(np.hypot(a, b)), 1e-3)
        across = np.array([-b, a]) / c
        return min(float(np.degrees(np.sqrt(across @ self.covariance[1:, 1:] @ across) / c)), 180.0)

    @property
    def delta_e_sd(self) -> float:
        """Standard deviation of ΔE00: the error along the change; for no change, its mean over all directions."""
        G = metric((self.before + self.after) / 2)
        distance = float(self.lab @ G @ self.lab)
        if distance < 1e-9:
            return float(np.sqrt(np.trace(G @ self.covariance) / 3))
        return float(np.sqrt(self.lab @ G @ self.covariance @ G @ self.lab / distance))

    @property
    def real(self) -> bool:
        """Whether the change is more than noise."""
        return is_real(self.lab, self.covariance)

    @property
    def limit(self) -> float:
        """The ΔE00 from which on a change in this direction is more than noise; without a direction, in any."""
        distance = float(self.lab @ np.linalg.solve(self.covariance, self.lab))
        if distance < 1e-9:
            return detection_limit(self.before, self.covariance)
        return self.delta_e * float(np.sqrt(REAL_FROM / distance))


@dataclass(frozen=True)
class DensityChange:
    """Density before and after, and the standard deviation of their difference."""

    before: float
    after: float
    sd: float

    @property
    def step(self) -> float:
        """After less before: negative where less pigment is left to see."""
        return self.after - self.before


@dataclass(frozen=True)
class Comparison:
    """Two photos of one work compared. Without bare skin in both there is only the card's word."""

    card_only: Change
    anchored: Change | None
    skin: Change | None
    density: DensityChange | None
    believed: Change | None = None
    """Between the two: the colour's change where as much of the skin's own change is believed as its readings bear out
    (webapp/drift/shrinkage.py). It speaks of the colour to be seen; drift of the pigment is judged anchored, because a
    tan lies over pigment and skin alike."""
    skin_share: float | None = None
    """How much of the skin's apparent change is believed to be the skin's own, 0…1."""

    @property
    def best(self) -> Change:
        """The anchored change where there is one, else the card's."""
        return self.anchored or self.card_only

    @property
    def skin_moved(self) -> bool:
        """Whether the bare skin itself reads differently by more than noise: the skin or the light changed."""
        return self.skin is not None and self.skin.real


def compare(
    pigment_before: MeasuredColour,
    skin_before: MeasuredColour | None,
    pigment_after: MeasuredColour,
    skin_after: MeasuredColour | None,
    other_skins: Sequence[MeasuredColour] = (),
) -> Comparison:
    """Compare two photos of one work, by the card alone, anchored on the bare skin, and between the two.

    Anchoring matches the skin of the later photo to that of the earlier by a gain per channel in linear light.
    What acted on skin and pigment alike (card, lamp, camera) then cancels but for a remainder that was found
    by simulation; the skin's own pixel noise is added. `believed` takes off only as much of the skin's change as
    is likely to be error (webapp/drift/shrinkage.py); `other_skins` are the client's further skin readings.
    """
    card_only = Change(pigment_before.lab, pigment_after.lab, pigment_before.covariance + pigment_after.covariance)
    if skin_before is None or skin_after is None:
        return Comparison(card_only, None, None, None)
    anchored = Change(
        pigment_before.lab,
        anchor(pigment_after.lab, skin_after.lab, skin_before.lab),
        pigment_before.spread
        + anchored_spread(pigment_after, skin_after, skin_before)
        + np.diag(ANCHORED_CAMERA_SD**2),
    )
    skin = Change(skin_before.lab, skin_after.lab, skin_before.covariance + skin_after.covariance)
    found = believe(skin_before, skin_after, other_skins)
    corrected = np.exp(log_light(pigment_after.lab) - found.error)
    slopes = lab_slopes(corrected) @ np.diag(corrected)
    believed = Change(
        pigment_before.lab,
        linear_to_lab(corrected),
        pigment_before.spread
        + slopes @ (found.covariance + relative(pigment_after.lab, pigment_after.spread)) @ slopes.T
        + np.diag(ANCHORED_CAMERA_SD**2),
    )
    return Comparison(
        card_only=card_only,
        anchored=anchored,
        skin=skin,
        density=_density_change(pigment_before, skin_before, pigment_after, skin_after),
        believed=believed,
        skin_share=found.share,
    )


def anchor(pigment: Floats, skin: Floats, anchor_skin: Floats) -> Floats:
    """Give the (…, 3) pigment colour as it would read beside the anchor's skin instead of its own."""
    gain = lab_to_linear(anchor_skin) / np.maximum(lab_to_linear(skin), 1e-4)
    return linear_to_lab(lab_to_linear(pigment) * gain)


def anchored_spread(pigment: MeasuredColour, skin: MeasuredColour, anchor_skin: MeasuredColour) -> Floats:
    """Give the (3, 3) covariance that pixel noise leaves in an anchored colour (propagated in ln of light)."""
    noise = sum(relative(colour.lab, colour.spread) for colour in (pigment, skin, anchor_skin))
    light = lab_to_linear(anchor(pigment.lab, skin.lab, anchor_skin.lab))
    slopes = lab_slopes(light) @ np.diag(light)
    return np.asarray(slopes @ noise @ slopes.T)


def _density_change(
    pigment_before: MeasuredColour,
    skin_before: MeasuredColour,
    pigment_after: MeasuredColour,
    skin_after: MeasuredColour,
) -> DensityChange:
    colours = (pigment_before, skin_before, pigment_after, skin_after)
    variance = sum(density_slope(c.lab) ** 2 * c.spread[0, 0] for c in colours) + DENSITY_CAMERA_SD**2
    return DensityChange(
        float(density(pigment_before.lab, skin_before.lab)),
        float(density(pigment_after.lab, skin_after.lab)),
        float(np.sqrt(variance)),
    )
