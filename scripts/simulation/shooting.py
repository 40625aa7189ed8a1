"""A photograph of a simulated brow beside a strip of six neutral steps, as the bytes of a JPEG, and its truth."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
from demo_scene.noise import clouds
from demo_scene.spectra import BLOOD, MELANIN, OBSERVER, Floats, Image, Mask
from demo_scene.spectra import lab as true_lab
from PIL import Image as Pil
from PIL import ImageDraw
from scipy.ndimage import distance_transform_edt, gaussian_filter

from simulation.brow_work import HEIGHT, PX, WIDTH, BrowWork, draw_hair, outline
from simulation.cameras import Rendering, response
from simulation.people import Layers
from webapp.colorimetry.encodings import encode_srgb

STEPS = (0.90, 0.59, 0.36, 0.198, 0.09, 0.031)
"""Reflectance of the six neutral steps, spectrally flat."""
_STEP_MM = (9.0, 10.0)
_AMOUNTS = np.linspace(0, 2.6, 66)


@dataclass(frozen=True)
class SkinState:
    """How the skin differs from the person's usual: more `melanin` (tan), more `blood` (flush); `ring_only` where
    only the bare skin beside the work is redder."""

    melanin: float = 0.0
    blood: float = 0.0
    ring_only: bool = False


USUAL_SKIN = SkinState()


@dataclass(frozen=True)
class Shot:
    """One photograph: the file, the marks, and the truth of it.

    `outline` (n, 2) and `patches` six (4, 2) in pixels; `true_xyz` (h, w, 3) without hair and shine, `seen_xyz` with
    them; masks (h, w) of the pigmented skin, of all bare skin, of hair and of shine.
    """

    file: bytes
    outline: Floats
    patches: tuple[Floats, ...]
    true_xyz: Image
    seen_xyz: Image
    pigmented: Mask
    bare: Mask
    hair: Mask
    shine: Mask
    pigment_lab: Floats
    skin_lab: Floats


def photograph(
    rng: np.random.Generator,
    rendering: Rendering,
    lamp_name: str,
    layers: Layers,
    work: BrowWork,
    state: SkinState = USUAL_SKIN,
) -> Shot:
    """Photograph a work once: another pose, light, exposure, balance, veil and noise every time."""
    turn, scale = rng.normal(0, 0.04), rng.uniform(0.94, 1.06)
    c, s = np.cos(turn), np.sin(turn)
    pose = scale * np.array([[c, -s], [s, c]])
    middle = np.array([WIDTH / 2, HEIGHT * 0.58]) + rng.uniform(-9, 9, 2)

    def place(mm: Floats) -> Floats:
        return np.asarray(mm * PX @ pose.T + middle)

    depth, melanin, blood, hair = (
        _laid(m, pose, middle) for m in (work.depth, work.melanin, work.blood, draw_hair(work, rng))
    )
    drawn = place(outline(work, rng))
    inside = filled(drawn)
    away = distance_transform_edt(~inside)
    thick = 2 * float(distance_transform_edt(inside).max())
    patches, strip = _strip(rng, place)
    shine = clouds(rng, depth.shape, 13) > rng.uniform(2.5, 3.6)

    bare = layers.bare * np.exp(-state.melanin * MELANIN - (0 if state.ring_only else state.blood) * BLOOD)
    flushed = np.exp(-state.blood * np.clip(away / 6, 0, 1)) if state.ring_only else 1.0
    ramp = bare * np.exp(-_AMOUNTS[:, None] * layers.absorbance)
    tints = np.stack([bare, bare * np.exp(-0.05 * MELANIN), bare * np.exp(-0.05 * BLOOD)])

    def light_of(weigh: Floats, tint: Floats) -> Image:
        to_melanin, to_blood = np.log(tint[1:] / tint[0]) / 0.05
        out = np.stack([np.interp(depth, _AMOUNTS, weigh[:, i]) for i in range(3)], axis=-1)
        out *= np.exp(melanin[..., None] * to_melanin + blood[..., None] * to_blood)
        if state.ring_only:
            out *= np.exp(np.log(np.asarray(flushed))[..., None] * -to_blood)
        return np.asarray(out, np.float32)

    true_xyz = light_of(ramp @ OBSERVER, tints @ OBSERVER)
    dense = inside & (depth >= 0.5 * np.quantile(depth[inside], 0.9))
    ring = (away >= 0.15 * thick) & (away <= 0.6 * thick) & (strip < 0)

    camera = rendering.camera
    scene = light_of(response(camera, lamp_name, ramp), response(camera, lamp_name, tints))
    shaded = np.exp(rng.uniform(0.01, 0.05) * clouds(rng, depth.shape, 260) + 0.012 * clouds(rng, depth.shape, 2.5))
    lit = scene * shaded[..., None] * (1 - 0.93 * hair[..., None])
    sheen = np.clip(rng.normal(0.008, 0.005), 0, 0.03) * np.exp(0.3 * clouds(rng, depth.shape, 80))
    lit += (sheen + shine * rng.uniform(0.2, 0.6))[..., None]
    steps = np.array([*STEPS, 0.8])[strip] * np.exp(rng.normal(0, 0.025) + rng.normal(0, 0.006, depth.shape))
    lit = np.where(strip[..., None] >= 0, steps[..., None], lit)
    pixels = _developed(rng, rendering, lit)
    buffer = io.BytesIO()
    Pil.fromarray(pixels).save(buffer, "JPEG", quality=int(rng.integers(82, 97)))
    return Shot(
        file=buffer.getvalue(),
        outline=drawn,
        patches=patches,
        true_xyz=true_xyz,
        seen_xyz=np.asarray(true_xyz * (1 - 0.93 * hair[..., None]) + 0.4 * shine[..., None], np.float32),
        pigmented=dense,
        bare=(depth < 0.05) & (strip < 0),
        hair=hair > 0.3,
        shine=shine,
        pigment_lab=true_lab(true_xyz[dense].mean(axis=0, dtype=float)),
        skin_lab=true_lab(true_xyz[ring].mean(axis=0, dtype=float)),
    )


def filled(polygon: Floats) -> Mask:
    """The mask of a polygon in photo pixels."""
    canvas = Pil.new("1", (WIDTH, HEIGHT), 0)
    ImageDraw.Draw(canvas).polygon([(float(x), float(y)) for x, y in polygon], fill=1)
    return np.asarray(canvas, bool)


def _laid(canvas: Image, pose: Floats, middle: Floats) -> Image:
    inverse = np.linalg.inv(pose)
    start = np.array([WIDTH, HEIGHT]) / 2 - inverse @ middle
    data = (inverse[0, 0], inverse[0, 1], start[0], inverse[1, 0], inverse[1, 1], start[1])
    picture = Pil.fromarray(np.ascontiguousarray(canvas, np.float32))
    moved = picture.transform((WIDTH, HEIGHT), Pil.Transform.AFFINE, data, Pil.Resampling.BILINEAR)
    return np.asarray(moved, np.float32)


def _strip(rng: np.random.Generator, place: object) -> tuple[tuple[Floats, ...], Floats]:
    """The marked corners of the six steps, and for every pixel which step it shows (6: the border, −1: none)."""
    wide, high = _STEP_MM
    angle, scale = rng.normal(0, 0.05), rng.uniform(0.95, 1.05)
    c, s = np.cos(angle), np.sin(angle)
    turn = scale * PX * np.array([[c, -s], [s, c]])
    middle = np.array([WIDTH / 2, HEIGHT * 0.58 - 20.5 * PX]) + rng.uniform(-6, 6, 2)

    def box(left: float, right: float, up: float, down: float) -> Floats:
        corners = np.array([[left, up], [right, up], [right, down], [left, down]])
        return np.asarray(corners @ turn.T + middle)

    canvas = Pil.new("I", (WIDTH, HEIGHT), -1)
    pen = ImageDraw.Draw(canvas)
    edge = 3 * wide
    pen.polygon([tuple(p) for p in box(-edge - 1, edge + 1, -high / 2 - 1, high / 2 + 1)], fill=6)
    marks = []
    for i in range(6):
        left = -edge + i * wide
        pen.polygon([tuple(p) for p in box(left, left + wide, -high / 2, high / 2)], fill=i)
        inset = 0.07 * wide
        mark = box(left + inset, left + wide - inset, -high / 2 + inset, high / 2 - inset)
        marks.append(mark + rng.uniform(-1.5, 1.5, (4, 2)))
    return tuple(marks), np.asarray(canvas, int)


def _developed(rng: np.random.Generator, rendering: Rendering, lit: Image) -> Image:
    """Lamp's fall-off, balance error, matrix, exposure, veil, blur, noise, tone curve, sRGB codes of 8 bits."""
    across, down = np.meshgrid(np.linspace(-0.5, 0.5, WIDTH), np.linspace(-0.5, 0.5, HEIGHT))
    fall = np.exp(rng.normal(0, 0.07) * across + rng.normal(0, 0.07) * down)
    tint = np.exp(np.multiply.outer(rng.normal(0, 0.01) * across + rng.normal(0, 0.01) * down, [1, 0, -1]))
    raw = np.asarray(lit * fall[..., None] * tint * np.exp(rng.normal(0, 0.05, 3)), np.float32)
    linear = raw @ np.asarray(rendering.camera.matrix.T * np.exp(rng.uniform(-0.6, 0.05)), np.float32)
    veil = abs(rng.normal(0, 0.008))
    linear = linear * (1 - veil) + veil * linear.mean(axis=(0, 1))
    linear = gaussian_filter(linear, (*[rng.uniform(0.4, 0.9)] * 2, 0))
    strength = np.float32(rng.uniform(0.005, 0.02)) * np.sqrt(np.clip(linear, 0, None) + 0.01)
    linear = linear + strength * rng.standard_normal(linear.shape, np.float32)
    lift, bend, exponent = rendering.tone(rng)
    code = np.clip(encode_srgb(np.clip(linear, 0, 1)), 0, 1) ** exponent
    code = code + lift * np.sin(np.pi * code) - bend * np.sin(2 * np.pi * code)
    return np.asarray(np.round(np.clip(code, 0, 1) * 255), np.uint8)
