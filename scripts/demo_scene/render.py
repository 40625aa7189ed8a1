"""From a scene and a shot to an 8-bit photo, and to the maps from which the truth is taken."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter, shift

from demo_scene import card as cards
from demo_scene import spectra
from demo_scene.light import Light, soften_by_depth, surface
from demo_scene.scene import Scene
from demo_scene.sensor import develop
from demo_scene.shot import Shot
from demo_scene.spectra import BLOOD, MELANIN, OBSERVER, Bytes, Floats, Image
from demo_scene.strokes import Stroke, draw, moved


@dataclass
class Rendered:
    photo: Bytes
    true_xyz: Image  # of bare and pigmented skin, with no hair, card or light
    depth: Image
    card_mask: Image
    card_quads: list[list[list[float]]]


def skin_layers(scene: Scene, shot: Shot, absorbance: Floats) -> tuple[list[tuple[Image, Floats]], Image]:
    depth = np.clip(shot.warp(scene.depth), 0, None)
    if shot.spread > 0:
        depth = gaussian_filter(depth, shot.spread * shot.scale)
    melanin = shot.warp(scene.skin.melanin) + shot.warp(scene.form.melanin) + np.float32(shot.tan)
    blood = shot.warp(scene.skin.blood) + shot.warp(scene.form.blood) + np.float32(shot.flush)
    if shot.healing:
        # Ten days after: a red halo around the work, pigment darker and crisper.
        halo = gaussian_filter(depth, 1.6 * shot.scale)
        blood = blood + np.float32(0.55) * halo + np.float32(0.05)
    return [(melanin, MELANIN), (blood, BLOOD), (depth, absorbance)], depth


def _hair(
    strokes: list[Stroke],
    scene: Scene,
    shot: Shot,
    rgb: Image,
    light: Light,
    weights: Floats,
    soft: float,
    lashes: bool,
) -> Image:
    """Hairs: their shadow on the skin, their body, a streak of light along each."""
    strokes = moved(strokes, shot.matrix(), shot.offset(), shot.scale)
    cover = draw(strokes, shot.shape)
    if soft:
        cover = gaussian_filter(cover, soft)
    reach_mm = 0.9 if lashes else 0.35
    reach = reach_mm * shot.scale
    cast = gaussian_filter(
        shift(cover, (-shot.light[1] * reach, -shot.light[0] * reach), order=1), 1.2 + 1.6 * reach_mm + soft
    )
    rgb = rgb * (1 - 0.34 * np.clip(cast, 0, 1) - 0.10 * np.clip(gaussian_filter(cover, 4), 0, 1))[..., None]
    # Brown hair: reflectance rising to the red.
    body = scene.kind.hair * (0.38 if lashes else 1.0) * (0.024 + 0.050 * (spectra.WAVELENGTHS - 400) / 300) @ weights
    lit = 0.55 + 0.45 * light.diffuse[..., 1:2]
    streak = draw(strokes, shot.shape, thin=0.4, part=slice(4, 10))
    glow = gaussian_filter(streak, 0.5 + soft)[..., None] * np.float32((0.05 if lashes else 0.09) * shot.sheen + 0.01)
    hair = body[None, None, :].astype(np.float32) * lit + glow * light.key[..., None]
    alpha = (np.minimum(cover * 1.15, 1) * 0.93)[..., None]
    return np.asarray(rgb * (1 - alpha) + hair * alpha, np.float32)


def _down(scene: Scene, shot: Shot, rgb: Image, light: Light) -> Image:
    cover = draw(moved(scene.down, shot.matrix(), shot.offset(), shot.scale), shot.shape)
    side = gaussian_filter(shift(cover, (1.2, 1.0), order=1), 0.8)
    rgb = rgb * (1 - 0.09 * side)[..., None]
    return np.asarray(rgb + (0.055 * cover * light.key)[..., None] * rgb.mean() * 2.2, np.float32)


def _temple(scene: Scene, shot: Shot, rgb: Image, weights: Floats) -> Image:
    """Scalp hair lies farther back: soft, its strands still to be told apart."""
    if not scene.temple:
        return rgb
    cover = draw(moved(scene.temple, shot.matrix(), shot.offset(), shot.scale), shot.shape)
    near, far = gaussian_filter(cover, 0.11 * shot.scale), gaussian_filter(cover, 0.8 * shot.scale)
    rgb = rgb * (1 - 0.45 * np.clip(far * 1.5, 0, 1))[..., None]
    alpha = np.clip(near * 1.1, 0, 0.95)[..., None]
    tone = (scene.kind.hair * (0.03 + 0.06 * (spectra.WAVELENGTHS - 400) / 300) @ weights).astype(np.float32)
    return np.asarray(rgb * (1 - alpha) + tone * (0.35 + 0.75 * cover[..., None]) * alpha, np.float32)


def render(scene: Scene, shot: Shot, absorbance: Floats, cameras: list[spectra.Camera]) -> Rendered:
    rng = np.random.default_rng(shot.seed)
    camera = cameras[shot.camera]
    lamp = spectra.lamp(shot.lamp)
    seen = camera.sensitivities * lamp[:, None]
    seen = seen / seen.sum(axis=0)  # a perfect white gives (1, 1, 1): the white balance error comes later
    weights: Floats = seen @ camera.matrix.T
    layers, depth = skin_layers(scene, shot, absorbance)
    base = spectra.skin(scene.kind.subject)
    both = spectra.render_reflectance(base, layers, np.concatenate([weights, OBSERVER], axis=1))
    rgb, true_xyz = both[..., :3], both[..., 3:]

    light = surface(scene, shot, rng, depth)
    rgb = rgb * light.diffuse + light.gloss[..., None]
    rgb = _down(scene, shot, rgb, light)
    rgb = soften_by_depth(rgb, light.distance, shot.scale)
    rgb = _hair(scene.beyond, scene, shot, rgb, light, weights, 0.09 * shot.scale, scene.is_brow)
    rgb = _hair(scene.hairs, scene, shot, rgb, light, weights, 0.0, not scene.is_brow)
    rgb = _temple(scene, shot, rgb, weights)

    at = shot.to_pixels(np.array([shot.card_at]))[0]
    h = cards.placement((at[0], at[1]), shot.card_turn, shot.scale, shot.keystone, shot.card_squeeze)
    laid = cards.lay(shot.card, h, shot.shape, shot.scale, shot.light, rng)
    rgb = rgb * laid.shadow[..., None]
    flat = laid.reflectance * (1 + laid.edge) * np.float32(shot.card_light)
    # White and black ink are near enough neutral here; the grey is exactly so.
    mask = laid.mask[..., None]
    rgb = rgb * (1 - mask) + flat[..., None] * mask
    photo = develop(rgb, shot, at, rng)
    return Rendered(photo, true_xyz, depth, laid.mask, cards.patch_quads(shot.card, h))
