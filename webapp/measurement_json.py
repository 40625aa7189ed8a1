"""The JSON of the command line: what `measure` reads and prints, what `compare` reads and prints."""

from __future__ import annotations

from typing import Any, Literal

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.measured import MeasuredColour
from webapp.drift.change import Change, Comparison
from webapp.photo.card import Patch
from webapp.photo.measure import Measurement
from webapp.photo.printed_card import DPI, HEIGHT, MM_PER_PIXEL, WIDTH, PrintedCard

_POINTS_AT_MOST = 2000
_PATCHES_AT_MOST = 64
_NOMINAL = (
    "The printed card's greys are taken as they were drawn, not as they were printed: absolute colour is not to be "
    "trusted; use it for drift only. Give its measured values with --card for more."
)
_FURTHEST = 1e6
"""No photo is so many pixels wide."""


def read_region(told: Any, name: str) -> Floats:
    """Give the (n, 2) outline. Raises ValueError with a sentence that names the file."""
    outline = _numbers(_entry(told, "outline", name), (None, 2), f'"outline" in {name}')
    if len(outline) > _POINTS_AT_MOST:
        raise ValueError(f'"outline" in {name} has {len(outline)} points; at most {_POINTS_AT_MOST} are read.')
    if np.any(np.abs(outline) > _FURTHEST):
        raise ValueError(f'"outline" in {name} reaches further than any photo does.')
    return outline


def read_card(told: Any, name: str) -> list[Patch]:
    """Give the card's patches. Raises ValueError with a sentence that names the file."""
    patches = _entry(told, "patches", name)
    if not isinstance(patches, list) or not 1 <= len(patches) <= _PATCHES_AT_MOST:
        raise ValueError(f'"patches" in {name} is not a list of 1 to {_PATCHES_AT_MOST} patches.')
    return [
        Patch(
            _numbers(_entry(p, "corners", name), (4, 2), f'"corners" of a patch in {name}'),
            _grey(_numbers(_entry(p, "lab", name), (3,), f'"lab" of a patch in {name}'), name),
        )
        for p in patches
    ]


def write(measured: Measurement, found_by: Literal["mark", "search"] = "mark") -> dict[str, Any]:
    """Give what `measure` prints; `found_by` says whether the card was marked by hand or searched for."""
    return {
        "pigment": _colour(measured.pigment),
        "outline": _colour(measured.outline),
        "skin": None if measured.skin is None else _colour(measured.skin),
        "quality": {
            "grade": measured.quality.grade,
            "reasons": [r.sentence for r in measured.quality.reasons],
        },
        "card": {
            "patches": measured.patches,
            "residual": round(measured.residual, 4),
            **({"values": "nominal", "caution": _NOMINAL} if found_by == "search" else {"values": "given"}),
        },
        "method": measured.method,
        "found_by": found_by,
    }


def write_printed_card(card: PrintedCard) -> dict[str, Any]:
    """Give what `card` prints: where all lies, in pixels of the PNG; "patches" as `measure --card` reads them."""
    return {
        "id": card.id,
        "width": WIDTH,
        "height": HEIGHT,
        "dpi": DPI,
        "mm_per_pixel": round(MM_PER_PIXEL, 6),
        "patches": [{"corners": s.corners.tolist(), "lab": s.lab.tolist()} for s in card.steps],
        "codes": [{"end": c.end, "text": c.text, "corners": c.corners.tolist()} for c in card.codes],
    }


def read(told: Any, name: str) -> tuple[MeasuredColour, MeasuredColour | None]:
    """Give the pigmented and the bare skin of what `measure` printed. Raises ValueError with a sentence."""
    skin = told.get("skin") if isinstance(told, dict) else None
    return _read_colour(_entry(told, "pigment", name), name), None if skin is None else _read_colour(skin, name)


def write_comparison(comparison: Comparison) -> dict[str, Any]:
    """Give what `compare` prints: both ways of comparing, and whether the better one is more than noise."""
    density = comparison.density
    return {
        "card_only": _change(comparison.card_only),
        "anchored": None if comparison.anchored is None else _change(comparison.anchored),
        "skin": None if comparison.skin is None else _change(comparison.skin),
        "density": None
        if density is None
        else {
            k: round(v, 4)
            for k, v in (
                ("before", density.before),
                ("after", density.after),
                ("change", density.step),
                ("sd", density.sd),
            )
        },
        "more_than_noise": comparison.best.real,
        "skin_or_light_changed": comparison.skin_moved,
    }


def _colour(colour: MeasuredColour) -> dict[str, Any]:
    return {
        "lab": _rounded(colour.lab),
        "sd": _rounded(colour.sd),
        "pixels": colour.pixels,
        "covariance": {"spread": _rounded(colour.spread, 6), "shared": _rounded(colour.shared, 6)},
    }


def _read_colour(told: Any, name: str) -> MeasuredColour:
    lab = _numbers(_entry(told, "lab", name), (3,), f'"lab" in {name}')
    sd = _numbers(_entry(told, "sd", name), (3,), f'"sd" in {name}')
    if not 0 < lab[0] <= 120 or np.abs(lab[1:]).max() > 200:
        raise ValueError(f'"lab" in {name} is no colour of skin or pigment: L* lies above 0, a* and b* within ±200.')
    if sd.min() <= 0 or sd.max() > 100:
        raise ValueError(f'"sd" in {name} is not three standard deviations above 0 and up to 100.')
    if "covariance" in told:
        spread, shared = (_covariance(_entry(told["covariance"], part, name), name) for part in ("spread", "shared"))
    else:
        # Without the two parts the whole error is taken as the colour's own, which claims least.
        spread, shared = np.diag(sd**2), np.zeros((3, 3))
    if np.linalg.eigvalsh(spread + shared).min() <= 0:
        raise ValueError(f'"covariance" in {name} leaves no uncertainty at all, which no measurement has.')
    return MeasuredColour(lab, spread, shared, _count(told.get("pixels", 0), name))


def _covariance(told: Any, name: str) -> Floats:
    values = _numbers(told, (3, 3), f'"covariance" in {name}')
    if np.abs(values).max() > 1e4 or np.abs(values - values.T).max() > 1e-3 or np.linalg.eigvalsh(values).min() < -1e-3:
        raise ValueError(f'"covariance" in {name} is not one of measured colours.')
    return values


def _count(told: Any, name: str) -> int:
    if isinstance(told, bool) or not isinstance(told, int) or told < 0:
        raise ValueError(f'"pixels" in {name} is not a whole number from 0 on.')
    return told


def _change(change: Change) -> dict[str, Any]:
    return {
        "lab": _rounded(change.lab),
        "sd": _rounded(change.sd),
        "chroma": round(change.chroma, 4),
        "hue": round(change.hue, 4),
        "warmth": round(change.warmth, 4),
        "delta_e_00": round(change.delta_e, 4),
        "detection_limit": round(change.limit, 4),
        "more_than_noise": change.real,
    }


def _rounded(values: Floats, digits: int = 4) -> Any:
    return np.round(np.asarray(values, dtype=float), digits).tolist()


def _entry(told: Any, key: str, name: str) -> Any:
    if not isinstance(told, dict) or key not in told:
        raise ValueError(f'{name} has no "{key}" where one is needed.')
    return told[key]


def _numbers(told: Any, shape: tuple[int | None, ...], what: str) -> Floats:
    try:
        values = np.array(told, dtype=float)
    except (TypeError, ValueError, OverflowError):
        values = np.empty(0)
    fits = values.ndim == len(shape) and all(s in (None, n) for s, n in zip(shape, values.shape, strict=True))
    if not fits or not np.all(np.isfinite(values)):
        wanted = " × ".join("n" if s is None else str(s) for s in shape)
        raise ValueError(f"{what} is not {wanted} numbers.")
    return values


def _grey(lab: Floats, name: str) -> Floats:
    if not 1 <= lab[0] <= 100 or np.abs(lab[1:]).max() > 20:
        raise ValueError(f'"lab" of a patch in {name} is no grey: L* 1 to 100, a* and b* within ±20 are.')
    return lab
