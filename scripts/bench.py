"""Prints how long the almanac's work takes, as ratios: python scripts/bench.py.

Measuring (read, card, region, colours, quality), warm, in one process, on a demo photo enlarged to phone size, against
Pillow's plain full decode of the same file, and against the obvious pipeline: decode, rgb2lab on every pixel, mean in a
mask. Memory is the highest resident memory above a warm process, in bytes a pixel of the photo. Then the page of
families, and every other, in an invented studio of 2,000 clients and 25,000 photos. `--only TABLE` prints one table.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent
sys.path[:0] = [str(ROOT), str(ROOT.parent)]

from benches import families, measuring, pages

TABLES = {"measuring": measuring.print_table, "families": families.print_table, "pages": pages.print_table}

if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", choices=TABLES)
    only = parser.parse_args().only
    for name, print_table in TABLES.items():
        if only in (None, name):
            print_table()
