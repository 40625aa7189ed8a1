"""Prints how long measuring takes, as ratios: python scripts/bench.py.

`measure` (read, card, region, colours, quality), warm, in one process, on demo photos enlarged to phone size, against
Pillow's plain full decode of the same file, and against the obvious pipeline: decode, rgb2lab on every pixel, mean in a
mask. Memory is the peak that tracemalloc sees above the start, in bytes a pixel of the photo; what the image libraries
take outside Python is not in it.
"""

from __future__ import annotations

import io
import json
import sys
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pillow_heif
from PIL import Image
from skimage.color import rgb2lab
from skimage.draw import polygon2mask

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from webapp.photo.card import Patch
from webapp.photo.measure import measure
from webapp.photo.read import read_photo

RUNS = 7
GRAIN = 2.0
"""Noise added to the enlargement, so that the file is as hard to decode as a camera's."""


def enlarged(photo: Path, megapixels: int, kind: str) -> tuple[bytes, float]:
    """Give a photo's bytes at another size and kind, and how many times larger it is."""
    small = Image.open(photo)
    factor = (megapixels * 1e6 / (small.width * small.height)) ** 0.5
    large = np.asarray(small.resize((round(small.width * factor), round(small.height * factor))), np.float32)
    large += np.random.default_rng(0).normal(0, GRAIN, large.shape).astype(np.float32)
    buffer = io.BytesIO()
    Image.fromarray(np.clip(large, 0, 255).astype(np.uint8)).save(buffer, kind, quality=92)
    return buffer.getvalue(), factor


def median_seconds(work: Callable[[], object]) -> float:
    work()
    seconds = []
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return float(np.median(seconds))


def peak_bytes(work: Callable[[], object]) -> int:
    tracemalloc.start()
    work()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def main() -> None:
    pillow_heif.register_heif_opener()
    told = json.loads((ROOT / "demo_photos" / "studio.json").read_text(encoding="utf-8"))
    follow_up = told["clients"][0]["works"][0]["follow_ups"][3]
    print(f"{'photo':>12} {'measure : decode':>17} {'obvious : measure':>18} {'bytes a pixel':>14}")
    for megapixels, kind in ((12, "JPEG"), (48, "JPEG"), (12, "HEIF")):
        content, factor = enlarged(ROOT / "demo_photos" / follow_up["photo"], megapixels, kind)
        outline = np.array(follow_up["outline"]) * factor
        patches = [Patch(np.array(c) * factor, np.array([49.5, 0, 0])) for c in follow_up["card_patches"]]

        def ours(content: bytes = content, outline: np.ndarray = outline, patches: list[Patch] = patches) -> object:
            return measure(read_photo(content), outline, patches)

        def decode(content: bytes = content) -> object:
            return Image.open(io.BytesIO(content)).load()

        def obvious(content: bytes = content, outline: np.ndarray = outline) -> object:
            pixels = np.asarray(Image.open(io.BytesIO(content)).convert("RGB"))
            return rgb2lab(pixels)[polygon2mask(pixels.shape[:2], outline[:, ::-1])].mean(axis=0)

        mine = median_seconds(ours)
        slower = f"{median_seconds(obvious) / mine:.0f}" if megapixels == 12 else "–"
        print(
            f"{f'{megapixels} MP {kind}':>12} {mine / median_seconds(decode):17.2f} {slower:>18} "
            f"{peak_bytes(ours) / (megapixels * 1e6):14.1f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
