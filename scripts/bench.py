"""Prints how long the almanac's work takes, as ratios: python scripts/bench.py.

Measuring (read, card, region, colours, quality), warm, in one process, on a demo photo enlarged to phone size, against
Pillow's plain full decode of the same file, and against the obvious pipeline: decode, rgb2lab on every pixel, mean in a
mask. Memory is the highest resident memory above a warm process, in bytes a pixel of the photo. Then the page of
families over a large invented studio.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent
sys.path[:0] = [str(ROOT), str(ROOT.parent)]

from benches import families, measuring

if __name__ == "__main__":
    measuring.print_table()
    families.print_table()
