"""Light, camera, skin and pigment as spectra on one wavelength grid.

Everything a pixel shows is ∫ lamp · sensitivity · reflectance; the true colour is the same reflectance under D65
and the 2° observer. Reflectance is skin times filters: exp(−Σ amount · absorbance).
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from demo_scene.skin_data import SKIN_REFLECTANCE

with warnings.catch_warnings():
    # colour-science says at import that its plotting part lacks matplotlib, which nothing here needs.
    warnings.filterwarnings("ignore", message='"Matplotlib" related API features are not available')
    import colour

__all__ = ["colour"]  # for those who need more of it than is here; imported once, warning dealt with

Floats = npt.NDArray[np.float64]
Image = npt.NDArray[np.float32]
Bytes = npt.NDArray[np.uint8]
Mask = npt.NDArray[np.bool_]

WAVELENGTHS: Floats = np.arange(400.0, 701.0, 10.0)
SHAPE = colour.SpectralShape(400, 700, 10)
GREY_REFLECTANCE = ((49.5 + 16) / 116) ** 3  # L* 49.5, spectrally flat

# Plain sRGB from linear light, and back to XYZ (D65).
XYZ_TO_SRGB: Floats = np.linalg.inv(
    np.array(
        [
            [0.4124564, 0.3575761, 0.1804375],
            [0.2126729, 0.7151522, 0.0721750],
            [0.0193339, 0.1191920, 0.9503041],
        ]
    )
)


def on_grid(distribution: object) -> Floats:
    """A colour-science spectrum, or several, at our wavelengths."""
    aligned = distribution.copy().align(SHAPE)  # type: ignore[attr-defined]  # colour-science types its spectra loosely
    return np.asarray(aligned.values, dtype=np.float64)


def skin(subject: str) -> Floats:
    return np.array([float(v) for v in SKIN_REFLECTANCE[subject].split()])


def _step(centre: float, width: float) -> Floats:
    """Strong below the centre, weak above: the absorption edge of a warm pigment."""
    out: Floats = 1.0 / (1.0 + np.exp((WAVELENGTHS - centre) / width))
    return out


def _band(centre: float, width: float) -> Floats:
    out: Floats = np.exp(-(((WAVELENGTHS - centre) / width) ** 2))
    return out


# Melanin's slope, flattened as it shows in −ln of the reflectance, and a plain sketch of oxygenated blood.
MELANIN: Floats = (WAVELENGTHS / 550.0) ** -2.3
BLOOD: Floats = 1.5 * _band(418, 24) + 0.75 * _band(542, 17) + 0.8 * _band(576, 13) + 0.35 * _step(590, 8)

# Invented absorbances of pigment lying in skin, about 1 at 550 nm. Common practice, no source: carbon dilutes to a
# cool ash (a little stronger at long wavelengths), the iron oxides to warm tones (stronger at short ones).
COMPONENTS: dict[str, Floats] = {
    "carbon": 1.0 + 0.16 * (WAVELENGTHS - 550) / 150,
    "organic orange": 1.25 * _step(572, 14) + 0.03,
    "black oxide": 1.0 + 0.16 * (WAVELENGTHS - 550) / 150,
    "yellow oxide": 1.7 * _step(512, 22) + 0.12,
    "red oxide": 1.15 * _step(578, 13) + 0.10,
}
ASH_TILT: Floats = (WAVELENGTHS - 550) / 150


@dataclass(frozen=True)
class Camera:
    """A sensor and the matrix that its maker might have fitted."""

    sensitivities: Floats  # 31 × 3
    matrix: Floats  # white-balanced camera RGB → linear sRGB, each row summing to 1


def observer_weights() -> Floats:
    """31 × 3 weights from reflectance to XYZ under D65, the perfect white at Y = 1."""
    cmfs = on_grid(colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"])
    weights = cmfs * on_grid(colour.SDS_ILLUMINANTS["D65"])[:, None]
    out: Floats = weights / weights[:, 1].sum()
    return out


OBSERVER: Floats = observer_weights()
WHITE: Floats = OBSERVER.sum(axis=0)


def lamp(name: str) -> Floats:
    values = on_grid(colour.SDS_ILLUMINANTS[name])
    out: Floats = values / values.mean()
    return out


def chart_spectra() -> Floats:
    """24 × 31 reflectances of the classic chart."""
    return np.array([on_grid(sd) for sd in colour.SDS_COLOURCHECKERS["ISO 17321-1"].values()])


def _fit_matrix(sensitivities: Floats) -> Floats:
    """Least squares on the 24 classic chart spectra under D65, with white kept white."""
    spectra = chart_spectra()
    d65 = lamp("D65")
    raw = spectra @ (sensitivities * d65[:, None]) / (sensitivities * d65[:, None]).sum(axis=0)
    aim = (spectra @ OBSERVER) @ XYZ_TO_SRGB.T
    # Row sums of 1 leave two free numbers a row: differences to green.
    diff = raw[:, [0, 2]] - raw[:, [1]]
    free, *_ = np.linalg.lstsq(diff, aim - raw[:, [1]], rcond=None)
    return np.array([[free[0, i], 1 - free[0, i] - free[1, i], free[1, i]] for i in range(3)])


def load_cameras() -> list[Camera]:
    out = []
    for data in colour.MSDS_CAMERA_SENSITIVITIES.values():
        sens = on_grid(data)
        sens = np.clip(sens, 0, None) / sens.sum(axis=0)
        out.append(Camera(sens, _fit_matrix(sens)))
    return out


def lab(xyz: Floats) -> Floats:
    """CIELAB 1976 against D65."""
    ratio = np.asarray(xyz) / WHITE
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.stack([116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], axis=-1)


def delta_e(a: Floats, b: Floats) -> float:
    return float(colour.difference.delta_E_CIE2000(np.asarray(a), np.asarray(b)))


def render_reflectance(base: Floats, layers: list[tuple[Image, Floats]], weights: Floats) -> Image:
    """Σ over wavelengths of base · exp(−Σ map · absorbance) · weights, pixel by pixel: 31 bands are cheap enough."""
    first = layers[0][0]
    maps = np.stack([m.ravel() for m, _ in layers], axis=1).astype(np.float32)
    shapes = np.stack([k for _, k in layers], axis=0).astype(np.float32)
    weighted = (base[:, None] * weights).astype(np.float32)
    out = np.empty((maps.shape[0], weights.shape[1]), np.float32)
    for start in range(0, len(maps), 65536):
        part = slice(start, start + 65536)
        out[part] = np.exp(-(maps[part] @ shapes)) @ weighted
    return out.reshape(*first.shape, weights.shape[1])
