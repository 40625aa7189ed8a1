"""Prints, with fixed seeds, how well the product measures: over simulated photographs, and over real ones of a chart.

    python scripts/accuracy.py [--quick] [--works 100] [--skin TABLE.csv] [--charts DIR] [--tune]

Every simulated photograph is an image (lamp, camera, balance, exposure, veil, gradients, noise, tone curve, JPEG) that
goes through the real pipeline: file, card, region, measurement. Cameras: the two whose sensitivities colour-science
carries and 48 variants of them; half are only ever tuned on (--tune), the others only reported on. Lamps:
colour-science. Skin: Cooksey, Allen, Tsai 2017, doi:10.6028/jres.122.026; eight people are in the repository, twelve
in the table beside the checkout (../shared/data/skin_reflectance.csv), which is taken where it is there.

--tune prints the standard deviations that webapp/photo/uncertainty.py and webapp/drift/noise.py state.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from pathlib import Path

for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")

ROOT = Path(__file__).resolve().parent
sys.path[:0] = [str(ROOT), str(ROOT.parent)]

from simulation.cameras import GOOD_LAMPS, POOR_LAMPS, cameras
from simulation.card_table import print_card_search
from simulation.chart_photos import print_charts
from simulation.distance_tables import print_coverage, print_distances, print_distances_head
from simulation.people import read_people
from simulation.region_table import print_regions
from simulation.skin_change_table import print_skin_changes
from simulation.trials import Series, take_pairs
from simulation.tuning import print_deviations

BESIDE = ROOT.parent.parent / "shared" / "data" / "skin_reflectance.csv"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--works", type=int, default=100, help="works under good lamps; half as many under poor ones")
    parser.add_argument("--quick", action="store_true", help="a tenth of everything: to see that it runs")
    parser.add_argument("--skin", type=Path, metavar="CSV", help="a table of skin reflectance by subject")
    parser.add_argument("--charts", type=Path, metavar="DIR", help="a folder of real chart photographs")
    parser.add_argument("--tune", action="store_true", help="the deviations to state, from the tuning cameras alone")
    parser.add_argument("--workers", type=int, default=2)
    options = parser.parse_args()
    works = max(options.works // 10, 8) if options.quick else options.works
    people = read_people(options.skin or (BESIDE if BESIDE.is_file() else None))
    began = time.monotonic()

    if options.tune:
        good, poor = (
            take_pairs(Series("tune", lamps, people), count, options.workers)
            for lamps, count in ((GOOD_LAMPS, works), (POOR_LAMPS, works // 2))
        )
        print_deviations(good + poor)
        return
    print(
        f"{len(people)} people, {len(cameras('report'))} reporting cameras, {len(GOOD_LAMPS)} good lamps and", end=" "
    )
    print(f"{len(POOR_LAMPS)} poor ones")
    good_series, poor_series = (Series("report", lamps, people) for lamps in (GOOD_LAMPS, POOR_LAMPS))
    good = take_pairs(good_series, works, options.workers)
    poor = take_pairs(poor_series, works // 2, options.workers)
    print_distances_head(f"{len(good)} works under good lamps, {len(poor)} under poor ones, two photographs each")
    print_distances("good", good)
    print_distances("poor", poor)
    print_regions(good_series, max(works // 3, 6))
    print_card_search(20 if options.quick else 200, 5 if options.quick else 50)
    if options.charts:
        print_charts(options.charts)
    print_coverage(good + poor)
    print_skin_changes(people, max(works // 5, 6), options.workers)
    print(f"\n{time.monotonic() - began:.0f} s")


if __name__ == "__main__":
    main()
