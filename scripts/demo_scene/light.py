"""Light on skin: soft diffuse shading that bleeds red, and the sheen of its oil."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter

from demo_scene.noise import Rng, smoothstep
from demo_scene.scene import Scene
from demo_scene.shot import Shot
from demo_scene.spectra import Floats, Image


@dataclass
class Light:
    diffuse: Image  # h × w × 3, about 1 on the work
    gloss: Image
    key: Image
    distance: Image  # millimetres behind the plane of focus


def _slopes(height_mm: Image, scale: float) -> tuple[Image, Image]:
    gy, gx = np.gradient(height_mm)
    return np.asarray(gx * scale, np.float32), np.asarray(gy * scale, np.float32)


def _lambert(gx: Image, gy: Image, light: Floats, wrap: float) -> Image:
    facing = (-gx * light[0] - gy * light[1] + light[2]) / np.sqrt(1 + gx**2 + gy**2)
    return np.asarray(np.clip((facing + wrap) / (1 + wrap), 0, None), np.float32)


def _lobe(gx: Image, gy: Image, light: Floats, rough: float) -> Image:
    """Beckmann's distribution about the half vector between lamp and viewer."""
    half = light + np.array([0, 0, 1.0])
    half = half / np.linalg.norm(half)
    cosine = np.clip((-gx * half[0] - gy * half[1] + half[2]) / np.sqrt(1 + gx**2 + gy**2), 0.2, 1)
    tan2 = 1 / cosine**2 - 1
    return np.asarray(np.exp(-tan2 / rough**2) / (np.pi * rough**2 * cosine**4), np.float32)


def surface(scene: Scene, shot: Shot, rng: Rng, depth: Image) -> Light:
    coarse = shot.warp(scene.form.height)  # smooth already: a filter here would flatten it at the frame
    fine = shot.warp(scene.skin.relief) + shot.warp(scene.form.creases)
    open_sky = np.clip(shot.warp(scene.form.shade), 0.3, 1)
    cx, cy = _slopes(coarse, shot.scale)
    channels = []
    key = np.zeros(shot.shape, np.float32)
    # Light wanders under the skin before it leaves, red the farthest: each colour sees a softer relief.
    for blur, depth_of_relief, wrap in ((0.13, 0.70, 0.42), (0.07, 0.95, 0.30), (0.05, 1.05, 0.26)):
        fx, fy = _slopes(gaussian_filter(fine, blur * shot.scale), shot.scale)
        lit = _lambert(cx + depth_of_relief * fx, cy + depth_of_relief * fy, shot.light, wrap)
        around = 0.85 - 0.15 * np.clip(cy / np.sqrt(1 + cx**2 + cy**2), -1, 1)
        key = lit
        bounce = open_sky ** (0.7 if blur == 0.13 else 1.0)
        channels.append((1 - shot.fill) * lit * (0.35 + 0.65 * bounce) + shot.fill * around * bounce)
    diffuse = np.stack(channels, axis=-1).astype(np.float32)
    # One scale for the light, so that the card beside the work is lit about as the work is.
    weight = np.clip(depth, 0, 1) + np.float32(1e-6)
    diffuse /= (diffuse[..., 1] * weight).sum() / weight.sum()

    gx, gy = _slopes(gaussian_filter(fine, 0.7), shot.scale)
    wide = _lobe(cx + 0.75 * gx, cy + 0.75 * gy, shot.light, 0.36)
    tight = _lobe(cx + 0.85 * gx, cy + 0.85 * gy, shot.light, 0.19)
    oil = np.clip(shot.warp(scene.skin.oil), 0, None) * np.clip(shot.warp(scene.form.dry), 0.2, 1)
    gloss = 0.028 * 0.60 * (0.40 * wide + 0.50 * tight * oil) * oil * open_sky * shot.sheen
    height = np.asarray(gaussian_filter(coarse, 6), np.float32)
    plane = float((height * weight).sum() / weight.sum())
    distance = np.asarray(plane - height, np.float32)
    return Light(np.asarray(diffuse, np.float32), np.asarray(gloss, np.float32), key, distance)


def soften_by_depth(rgb: Image, distance: Image, scale: float) -> Image:
    """A phone's shallow focus near by: what lies behind or before the work is a little soft."""
    amount = np.clip(np.abs(distance) - 2.0, 0, None)
    out = rgb
    for sigma, low, high in ((0.10, 0.0, 2.5), (0.22, 2.5, 7.0)):
        blurred = np.stack([gaussian_filter(rgb[..., i], sigma * scale) for i in range(3)], axis=-1)
        mix = smoothstep(low, high, amount)[..., None]
        out = np.asarray(out * (1 - mix) + blurred * mix, np.float32)
    return out
