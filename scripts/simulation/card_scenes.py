"""Drawn photos of the printed card beside skin, with everything that a phone does to it, and the place it truly has."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter
from skimage.transform import ProjectiveTransform, warp

from webapp.colorimetry.encodings import SRGB, Floats, decode_srgb, encode_srgb
from webapp.colorimetry.lab import lab_to_linear
from webapp.photo.card_search import INSET_MM, FoundCard
from webapp.photo.pixels import Box
from webapp.photo.printed_card import HEIGHT, MM_PER_PIXEL, WIDTH, draw_card, printed_card
from webapp.photo.read import Photo

Drawing = Callable[[Floats], Floats]
_FIELD_MM = (112.0, 96.0)
_DISTANCE_MM = 320.0


@dataclass(frozen=True)
class CardLying:
    """One card in the scene: tilt out of the picture and turn in it, degrees; its middle in mm from the scene's."""

    tilt: float = 0.0
    tilt_about: float = 90.0
    turn: float = 0.0
    middle: tuple[float, float] = (0.0, 0.0)
    id: str = "STRIP1"


@dataclass(frozen=True)
class CardScene:
    """A scene: the cards in it and the camera.

    `size` in photo pixels per centimetre of an untilted card; `blur` the standard deviation in photo pixels; `light`
    the gain per channel, `fall` the light's relative change from edge to edge; `noise` relative, `grain` in code
    values. `spoil` changes the card's drawing (linear light, (h, w, 3)) before it is laid down.
    """

    cards: tuple[CardLying, ...] = (CardLying(),)
    size: float = 80.0
    blur: float = 0.7
    light: tuple[float, float, float] = (0.85, 0.85, 0.85)
    fall: float = 0.0
    flare: float = 0.01
    noise: float = 0.015
    grain: float = 1.5
    mirrored: bool = False
    spoil: Drawing | None = field(default=None)
    seed: int = 1

    @property
    def shape(self) -> tuple[int, int]:
        """Height and width in photo pixels."""
        return round(_FIELD_MM[1] * self.size / 10), round(_FIELD_MM[0] * self.size / 10)

    def place(self, card: CardLying) -> ProjectiveTransform:
        """Give the true map from a card's drawing to the photo's pixels (edges at whole numbers)."""
        corners = np.array([[0, 0], [WIDTH, 0], [WIDTH, HEIGHT], [0, HEIGHT]], dtype=float)
        flat = (corners - (WIDTH / 2, HEIGHT / 2)) * MM_PER_PIXEL
        axis, tilt, turn = np.radians([card.tilt_about, card.tilt, card.turn])
        along = np.array([np.cos(axis), np.sin(axis)])
        across = np.array([-along[1], along[0]])
        near, far = flat @ along, flat @ across
        tilted = near[:, None] * along + (far * np.cos(tilt))[:, None] * across
        depth = _DISTANCE_MM + far * np.sin(tilt)
        c, s = np.cos(turn), np.sin(turn)
        seen = (tilted @ np.array([[c, s], [-s, c]])) * (_DISTANCE_MM / depth)[:, None]
        height, width = self.shape
        place = ProjectiveTransform.from_estimate(
            corners, (seen + card.middle) * self.size / 10 + (width / 2, height / 2)
        )
        assert isinstance(place, ProjectiveTransform)
        return place

    @cached_property
    def photo(self) -> Photo:
        """The photo."""
        rng = np.random.default_rng(self.seed)
        height, width = self.shape
        finer = 3 if self.size < 80 else 2
        skin = gaussian_filter(rng.normal(size=(height, width)), self.size / 10)
        light = lab_to_linear(np.array([66.0, 11.0, 17.0])) * np.exp(0.1 * skin / skin.std())[..., None]
        for card in self.cards:
            place = self.place(card)
            drawn = np.asarray(draw_card(printed_card(card.id))).astype(float) / 255
            print_ = np.repeat(decode_srgb(drawn)[..., None], 3, axis=2)
            if self.spoil is not None:
                print_ = self.spoil(print_)
            layer = np.dstack([print_, np.ones(print_.shape[:2])])

            corners = place(np.array([[0, 0], [WIDTH, 0], [WIDTH, HEIGHT], [0, HEIGHT]], dtype=float))
            left, top = np.clip(np.floor(corners.min(axis=0)).astype(int) - 2, 0, (width, height))
            right, bottom = np.clip(np.ceil(corners.max(axis=0)).astype(int) + 2, 0, (width, height))
            corner = (left, top)

            def to_drawing(xy: Floats, place: ProjectiveTransform = place, corner: tuple[int, int] = corner) -> Floats:
                return np.asarray(place.inverse((xy + 0.5) / finer + corner) - 0.5)

            shape = (bottom - top, right - left)
            laid = warp(layer, to_drawing, output_shape=(shape[0] * finer, shape[1] * finer), order=1, cval=0.0)
            laid = laid.reshape(shape[0], finer, shape[1], finer, 4).mean(axis=(1, 3))
            light[top:bottom, left:right] = light[top:bottom, left:right] * (1 - laid[..., 3:]) + laid[..., :3]
        ways = np.linspace(-0.5, 0.5, width)[None, :] + np.linspace(-0.5, 0.5, height)[:, None]
        light = light * np.array(self.light) * np.exp(self.fall / 2 * ways)[..., None]
        if self.blur:
            light = gaussian_filter(light, (self.blur, self.blur, 0))
        light = (light + self.flare * np.mean(self.light)) * np.exp(self.noise * rng.normal(size=light.shape))
        codes = encode_srgb(np.clip(light, 0, 1)) * 255 + self.grain * rng.normal(size=light.shape)
        pixels = np.clip(np.round(codes), 0, 255).astype(np.uint8)
        return Photo(np.ascontiguousarray(pixels[:, ::-1]) if self.mirrored else pixels, SRGB, None)


def corner_error_mm(scene: CardScene, found: FoundCard) -> float:
    """Give the largest distance, in mm on the scene's first card, of the step corners found from their true place."""
    place = scene.place(scene.cards[0])
    inset = np.array(INSET_MM) / MM_PER_PIXEL * np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]])
    steps = printed_card(found.id).steps
    missed = [place.inverse(p.corners) - s.corners - inset for p, s in zip(found.patches, steps, strict=True)]
    return float(np.linalg.norm(missed, axis=2).max()) * MM_PER_PIXEL


def random_scene(seed: int) -> CardScene:
    """Give a scene anywhere in what the search has to stand: tilt to 40°, any turn, blur to 2 px, 40 to 120 px/cm."""
    rng = np.random.default_rng(seed)
    exposure = float(rng.choice([rng.uniform(0.06, 0.2), rng.uniform(0.2, 1.0)], p=[0.25, 0.75]))
    cast = np.exp(rng.uniform(-0.35, 0.35, 3))
    red, green, blue = (float(v) for v in exposure * cast / cast.max())
    return CardScene(
        cards=(
            CardLying(
                tilt=float(rng.uniform(0, 40)),
                tilt_about=float(rng.uniform(0, 180)),
                turn=float(rng.uniform(0, 360)),
                middle=(float(rng.uniform(-4, 4)), float(rng.uniform(-4, 4))),
            ),
        ),
        size=float(rng.uniform(40, 120)),
        blur=float(rng.uniform(0, 2)),
        light=(red, green, blue),
        fall=float(rng.uniform(-0.6, 0.6)),
        flare=float(rng.uniform(0, 0.03)),
        seed=seed,
    )


def scene_without_card(seed: int) -> Photo:
    """Give a photo with no card: noise, skin, stripes, squares or a chequered pattern, by turns."""
    rng = np.random.default_rng(seed)
    height, width = 900, 1200
    rows, columns = np.mgrid[:height, :width]
    kind = seed % 5
    if kind == 0:
        codes = rng.integers(0, 256, (height, width, 3)).astype(float)
    elif kind == 1:
        skin = CardScene(cards=(), size=90.0, seed=seed).photo
        codes = skin.codes(Box(0, 0, skin.width, skin.height)).astype(float)
    elif kind == 2:
        angle, period = rng.uniform(0, np.pi), rng.uniform(6, 60)
        codes = np.repeat(
            ((rows * np.sin(angle) + columns * np.cos(angle)) % period < period / 2)[..., None] * 220.0, 3, 2
        )
    elif kind == 3:
        cell = int(rng.integers(4, 30))
        coarse = rng.integers(0, 2, (height // cell + 1, width // cell + 1)) * 230
        codes = np.repeat(np.kron(coarse, np.ones((cell, cell)))[:height, :width, None], 3, 2)
    else:
        codes = np.full((height, width, 3), 200.0)
        for _ in range(60):
            x, y, size = rng.integers(0, width), rng.integers(0, height), rng.integers(10, 90)
            for shrunk, level in ((0, 20), (size // 7, 235), (2 * size // 7, 20)):
                codes[y + shrunk : y + size - shrunk, x + shrunk : x + size - shrunk] = level
    image = Image.fromarray(np.clip(codes + rng.normal(0, 3, codes.shape), 0, 255).astype(np.uint8))
    return Photo(np.asarray(image), SRGB, None)
