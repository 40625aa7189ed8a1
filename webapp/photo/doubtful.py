"""Photos that are no photo straight from the camera: black and white, a picture of a screen, smoothed by a filter."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from webapp.photo.pixels import Box
from webapp.photo.quality import Reason, is_blurred
from webapp.photo.read import Photo
from webapp.photo.region import Region

_SCREENS = frozenset(
    {
        (720, 1280), (720, 1520), (720, 1600), (750, 1334), (768, 1366), (800, 1280), (828, 1792), (900, 1440),
        (1050, 1680), (1080, 1920), (1080, 2220), (1080, 2280), (1080, 2340), (1080, 2400), (1125, 2436), (1170, 2532),
        (1179, 2556), (1206, 2622), (1242, 2208), (1242, 2688), (1284, 2778), (1290, 2796), (1320, 2868), (1440, 2560),
        (1440, 2960), (1440, 3088), (1440, 3200), (1488, 2266), (1536, 2048), (1600, 2560), (1620, 2160), (1640, 2360),
        (1668, 2224), (1668, 2388), (2048, 2732), (2160, 3840),
    }
)  # fmt: skip
"""Sizes in pixels of common screens of phones, tablets and computers, short side first. From memory."""
_GREY = 0.015
"""Difference (ln of light) of the channels, before the card balances them, that rounding leaves in a grey photo."""
_BAND = 0.008
"""Share of the photo's height, or width, of the narrowest bar that is looked for at its edges."""
_CLIPPED_CODE = 250
_NO_GRAIN = 0.003
"""Robust spread of bare skin's fine detail (ln of light) below which it is too smooth for skin; demo photos, blurred
ones too: 0.008 to 0.019, smoothed with an edge-keeping filter and saved as JPEG 0.004 to 0.006."""


def is_colourless(region: Region) -> bool:
    """Say whether the outlined work and the skin round it hold no colour: a black-and-white photo saved in colour."""
    where = region.outlined | region.bare
    light = np.log(np.maximum(region.linear[where], 1e-5))
    ratios = np.abs(light[:, [0, 2]] - light[:, [1]])
    return bool(np.quantile(ratios, 0.95) < _GREY)


def file_reasons(photo: Photo) -> Iterator[Reason]:
    """Say whether the file looks like a picture of a screen."""
    bars = _bars(photo)
    whole_screen = not photo.from_camera and tuple(sorted((photo.width, photo.height))) in _SCREENS
    if bars or whole_screen:
        seen = "it has bars of one even colour at its edges" if bars else "it is exactly as large as a screen"
        yield Reason(
            "usable",
            f"This may be a screenshot, or a frame of a film, and not the photo itself: {seen}. "
            "Screens and apps change colours. Choose the camera's own file.",
        )


def smoothness_reasons(region: Region) -> Iterator[Reason]:
    """Say whether bare skin is smoother than any camera shows it, while edges are sharp."""
    if region.bare.sum() < 100 or is_blurred(region):
        return
    fine = region.fine_light[region.bare]
    if 1.4826 * np.median(np.abs(fine - np.median(fine))) < _NO_GRAIN:
        yield Reason(
            "usable",
            "The skin has no grain at all, as if a beauty filter or strong compression had smoothed it; such a filter "
            "moves colours too. Photograph without filter, and choose the camera's own file.",
        )


def _bars(photo: Photo) -> bool:
    """Say whether two opposite edges are bars of one colour each, which no lens and no sensor makes."""
    width, height = photo.width, photo.height
    down, across = max(round(_BAND * height), 3), max(round(_BAND * width), 3)
    edges = (
        (Box(0, 0, width, down), Box(0, height - down, width, height)),
        (Box(0, 0, across, height), Box(width - across, 0, width, height)),
    )
    return any(all(_is_flat(photo.codes(box, 2), photo.from_camera) for box in pair) for pair in edges)


def _is_flat(codes: NDArray[np.uint8], from_camera: bool) -> bool:
    """Say whether practically all of (h, w, 3) code values are one; a camera's own may be where it clipped to white."""
    flat = codes.reshape(-1, 3)
    middle = np.median(flat, axis=0)
    if from_camera and middle.min() >= _CLIPPED_CODE:
        return False
    return bool(np.mean(np.all(flat == middle, axis=1)) > 0.98)
