"""How long the page of families takes over a large invented studio, and what one new photo costs it."""

from __future__ import annotations

import gc
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
from fastapi.testclient import TestClient
from simulation.big_studio import BigStudio, fill_studio
from sqlalchemy import text

from webapp.app import make_app
from webapp.settings import Settings

PAGES = ("by=family", "by=technique&within=family&adjust=artist&adjust=skin")
"""What the page opens with, and about as much as it can be asked for."""
RUNS = 15
LARGE = BigStudio(clients=2000, photos=25_000)
SMALL = BigStudio(clients=200, photos=2500)


def print_table() -> None:
    """Print milliseconds of the server, the test client's own small share included; medians on a warm cache."""
    print(f"\nfamilies: {LARGE.clients} clients, {LARGE.photos} measurements (tenth: {SMALL.clients}, {SMALL.photos})")
    small, large = _times(SMALL), _times(LARGE)
    print(f"{'':>58} {'ms':>7} {'tenth':>7} {'ratio':>6}")
    for (name, seconds), (_, tenth) in zip(large, small, strict=True):
        print(f"{name:>58} {1000 * seconds:7.0f} {1000 * tenth:7.0f} {seconds / tenth:6.1f}", flush=True)


def _times(wanted: BigStudio) -> list[tuple[str, float]]:
    with tempfile.TemporaryDirectory() as folder:
        app = make_app(Settings(folder=Path(folder) / "studio"))
        address = "http://127.0.0.1:4950"
        with TestClient(app, base_url=address) as browser:
            fill_studio(app.state.engine, wanted)
            first = _seconds(browser, PAGES[0])
            told = [("judging everything, once", first)]
            warm = [float(np.median([_seconds(browser, page) for _ in range(RUNS)])) for page in PAGES]
            told += [(f"/families?{page}", seconds) for page, seconds in zip(PAGES, warm, strict=True)]
            after = [_after_a_photo(app, browser, number) for number in range(1, RUNS + 1)]
            return [*told, ("the first of these after one new photo, beyond that", float(np.median(after)) - warm[0])]


def _seconds(browser: TestClient, page: str) -> float:
    gc.collect()
    start = time.perf_counter()
    assert browser.get(f"/families?{page}").status_code == 200
    return time.perf_counter() - start


def _after_a_photo(app: Any, browser: TestClient, number: int) -> float:
    """Measure a photo once more with another colour: the same rows change as with a new one."""
    with app.state.engine.begin() as connection:
        connection.execute(
            text("UPDATE measurement SET pigment_lab = '[44.0, 8.0, 12.0]' WHERE follow_up_id = :number"),
            {"number": 100 * number},
        )
    return _seconds(browser, PAGES[0])
