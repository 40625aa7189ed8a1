"""How long measuring a photo takes, and how much memory, against decoding it and against the obvious pipeline."""

from __future__ import annotations

import io
import json
import multiprocessing
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pillow_heif
from PIL import Image
from skimage.color import rgb2lab
from skimage.draw import polygon2mask

from webapp.photo.card import Patch
from webapp.photo.measure import measure
from webapp.photo.read import read_photo

ROOT = Path(__file__).resolve().parents[2]
RUNS = 9
GRAIN = 6.0
"""Noise added to the enlargement (code values), so that a 12-megapixel JPEG comes to 3 MB, as a phone's does (common
practice, no source), and is as hard to decode."""
SIZES = ((12, "JPEG"), (48, "JPEG"), (12, "HEIF"))


@dataclass(frozen=True)
class Case:
    """A photo file, what is marked on it, and its size."""

    content: bytes
    outline: Any
    corners: Any
    megapixels: float

    def measure(self) -> object:
        patches = [Patch(c, np.array([49.5, 0, 0])) for c in self.corners]
        return measure(read_photo(self.content), self.outline, patches)

    def decode(self) -> object:
        return Image.open(io.BytesIO(self.content)).load()

    def obvious(self) -> object:
        pixels = np.asarray(Image.open(io.BytesIO(self.content)).convert("RGB"))
        return rgb2lab(pixels)[polygon2mask(pixels.shape[:2], self.outline[:, ::-1])].mean(axis=0)


def make_case(megapixels: float, kind: str) -> Case:
    """Give a demo photo, enlarged, with what is marked on it."""
    told = json.loads((ROOT / "demo_photos" / "studio.json").read_text(encoding="utf-8"))
    follow_up = told["clients"][0]["works"][0]["follow_ups"][3]
    small = Image.open(ROOT / "demo_photos" / follow_up["photo"])
    factor = (megapixels * 1e6 / (small.width * small.height)) ** 0.5
    large = np.asarray(small.resize((round(small.width * factor), round(small.height * factor))), np.float32)
    grain = np.random.default_rng(0).standard_normal(large.shape, np.float32)
    codes = np.clip(large + np.float32(GRAIN) * grain, 0, 255).astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(codes).save(buffer, kind, quality=92)
    corners = [np.array(c) * factor for c in follow_up["card_patches"]]
    return Case(buffer.getvalue(), np.array(follow_up["outline"]) * factor, corners, megapixels)


def median_seconds(work: Callable[[], object], runs: int = RUNS) -> float:
    work()
    seconds = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return float(np.median(seconds))


def _highest_resident() -> int:
    """Give this process's highest resident memory in bytes. Source: proc_pid_status(5), so on Linux only."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return next(int(line.split()[1]) * 1024 for line in status.splitlines() if line.startswith("VmHWM"))


def _peak(case: Case, small: Case, answer: Any) -> None:
    """Put the bytes that measuring takes above a process that has measured a small photo already."""
    pillow_heif.register_heif_opener()
    small.measure()
    before = _highest_resident()
    case.measure()
    answer.put(_highest_resident() - before)


def peak_bytes(case: Case, small: Case) -> float:
    """Give the highest resident memory of measuring, above a fresh process that is warm, in bytes."""
    spawn = multiprocessing.get_context("spawn")
    answer = spawn.Queue()
    process = spawn.Process(target=_peak, args=(case, small, answer))
    process.start()
    taken = float(answer.get())
    process.join()
    return taken


def print_table() -> None:
    pillow_heif.register_heif_opener()
    print(f"{'photo':>10} {'MB':>5} {'measure : decode':>17} {'obvious : measure':>18} {'bytes a pixel':>14}")
    for megapixels, kind in SIZES:
        case, small = make_case(megapixels, kind), make_case(1, kind)
        mine = median_seconds(case.measure)
        decode = median_seconds(case.decode)
        slower = f"{median_seconds(case.obvious, 3) / mine:.0f}" if megapixels == 12 else "–"
        memory = peak_bytes(case, small) / (megapixels * 1e6)
        name = f"{megapixels} MP {kind}"
        print(
            f"{name:>10} {len(case.content) / 1e6:5.1f} {mine / decode:17.2f} {slower:>18} {memory:14.1f}", flush=True
        )
