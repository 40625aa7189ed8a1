"""Prints how far the almanac's judgement can be trusted, over simulated studios with known rates.

    python scripts/validate_drift.py [--studios 500] [--works 24] [--noise-as-stated]

Fixed seeds. Works of 2 to 10 photos, tans and redness included, at the level of readings (validation/studios.py), go
through the almanac's own path. Twice: with photos that scatter as webapp/drift/noise.py states, and as
scripts/accuracy.py measures, which is 1.5 times less. Studios have taken their own noise over from their photos, as the
page of thresholds offers; with --noise-as-stated they have not.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(threads, "1")

import numpy as np

ROOT = Path(__file__).resolve().parent
sys.path[:0] = [str(ROOT), str(ROOT.parent)]

from validation.families import FamilyMeans
from validation.intervals import Intervals
from validation.judged import judge_work, learn
from validation.studios import draw_studio
from validation.verdicts import Verdicts

SEED = 20_26
NOISES = (("as webapp/drift/noise.py states", 1.0), ("as scripts/accuracy.py measures", 1 / 1.5))


def run_studio(
    seed: np.random.SeedSequence, works: int, noise: float, own_noise: bool
) -> tuple[Intervals, Verdicts, FamilyMeans]:
    """Draw one studio, judge all its works, and put works of known drift to the test in it."""
    rng = np.random.default_rng(seed)
    drawn = draw_studio(rng, works, noise)
    expected = learn(drawn, own_noise)
    intervals, verdicts, families = Intervals(), Verdicts(), FamilyMeans()
    families.add(drawn, expected)
    for work in drawn:
        intervals.add(work, judge_work(work, expected))
    verdicts.test_studio(rng, expected, noise)
    return intervals, verdicts, families


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--studios", type=int, default=500)
    parser.add_argument("--works", type=int, default=24)
    parser.add_argument("--noise-as-stated", action="store_true")
    options = parser.parse_args()
    seeds = np.random.SeedSequence(SEED).spawn(options.studios)
    for name, noise in NOISES:
        start = time.perf_counter()
        work = partial(run_studio, works=options.works, noise=noise, own_noise=not options.noise_as_stated)
        with ProcessPoolExecutor() as pool:
            told = list(pool.map(work, seeds, chunksize=10))
        intervals, verdicts, families = Intervals(), Verdicts(), FamilyMeans()
        intervals.join(i for i, _, _ in told)
        verdicts.join(v for _, v, _ in told)
        families.join(f for _, _, f in told)
        print(f"\n{options.studios} studios of {options.works} works, photos scatter {name}")
        intervals.print()
        families.print()
        verdicts.print()
        print(f"  ({time.perf_counter() - start:.0f} s)")


if __name__ == "__main__":
    main()
