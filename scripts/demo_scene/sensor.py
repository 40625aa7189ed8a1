"""Lens, sensor and the phone's own developing: the last steps to an sRGB picture."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter

from demo_scene.noise import Rng, clouds, smoothstep
from demo_scene.shot import Shot
from demo_scene.spectra import Bytes, Floats, Image


def _across(shot: Shot) -> tuple[Image, Image]:
    yy, xx = np.mgrid[0 : shot.height, 0 : shot.width].astype(np.float32)
    return (xx - shot.width / 2) / (shot.width / 2), (yy - shot.height / 2) / (shot.width / 2)


def _noise(rng: Rng, rgb: Image, level: float) -> Image:
    """Shot noise, stronger in the light but less so for its brightness; half of it common to the channels."""
    strength = level * np.sqrt(np.clip(rgb, 0, None) + 0.01)
    grain = [gaussian_filter(rng.standard_normal(rgb.shape[:2]), 0.55) * 1.9 for _ in range(4)]
    coarse = [clouds(rng, rgb.shape[:2], 5.0) for _ in range(3)]
    out = np.stack([0.75 * grain[3] + 0.30 * grain[i] + 0.22 * coarse[i] for i in range(3)], axis=-1)
    return np.asarray(rgb + strength * out, np.float32)


def encode(linear: Image) -> Image:
    x = np.clip(linear, 0, 1)
    return np.asarray(np.where(x <= 0.0031308, 12.92 * x, 1.055 * x ** (1 / 2.4) - 0.055), np.float32)


def _half_shadow(shot: Shot, card_at: Floats) -> Image:
    """A hand's shadow lying across half of the card."""
    x, y = _across(shot)
    cx = (card_at[0] - shot.width / 2) / (shot.width / 2)
    edge = x - cx + 0.35 * (y + 0.3) + 0.03 * np.sin(y * 9)
    return np.asarray(1 - 0.52 * smoothstep(-0.03, 0.05, edge) * (1 - smoothstep(-0.1, 0.12, y)), np.float32)


def develop(rgb: Image, shot: Shot, card_at: Floats, rng: Rng) -> Bytes:
    x, y = _across(shot)
    falloff = 1 + shot.gradient[0] * x + shot.gradient[1] * y
    falloff = falloff * (1 - shot.vignette * np.clip(x**2 + y**2 - 0.15, 0, None))
    if shot.half_shadow:
        falloff = falloff * _half_shadow(shot, card_at)
    rgb = rgb * np.asarray(falloff, np.float32)[..., None]
    rgb = rgb * (1 - shot.flare) + shot.flare * rgb.mean(axis=(0, 1))
    rgb = rgb * (shot.exposure * np.array(shot.balance)).astype(np.float32)
    sigma = 0.55 + shot.focus
    rgb = np.stack([gaussian_filter(rgb[..., i], sigma) for i in range(3)], axis=-1)
    rgb = _noise(rng, rgb, shot.noise)
    out = encode(rgb)
    if shot.tone:
        out = out - np.float32(shot.tone) * np.sin(2 * np.pi * out)
    luma = out @ np.array([0.299, 0.587, 0.114], np.float32)
    crisp = 0.45 * (luma - gaussian_filter(luma, 1.1))
    out = np.clip(out + crisp[..., None], 0, 1)
    return np.asarray(np.round(out * 255), np.uint8)
