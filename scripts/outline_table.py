"""Prints how offered outlines compare with hand-drawn ones on the demo photos: overlap, claimed error, cost.

    python scripts/outline_table.py

The demo's photographs of one work are rendered from one drawing, hairs and pores included, which is kinder than life;
so the table is printed again for photographs softened until no hair or pore is left. The thresholds of the proposal
were chosen on every second of these photographs, so its figures are no independent check; those of the carrying over
are the first that were tried.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.ndimage import gaussian_filter

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from webapp.colorimetry.difference import delta_e_00
from webapp.colorimetry.encodings import Floats
from webapp.photo.card import Patch
from webapp.photo.carry_over import Landmarks, carry_over, find_landmarks
from webapp.photo.measure import measure
from webapp.photo.polygon import MarkUnusable, bounding_box, inside
from webapp.photo.propose_outline import propose_outline
from webapp.photo.read import Photo, read_photo

FOLDER = ROOT / "demo_photos"
SOFTENED = (0.0, 3.0, 5.0)
STRANGERS = 5


@dataclass(frozen=True)
class Visit:
    """A demo photo with what was marked on it."""

    work: str
    site: str
    photo: Photo
    patches: list[Patch]
    outline: Floats

    @property
    def card(self) -> list[Floats]:
        return [np.concatenate([p.corners for p in self.patches])]


def visits(works: int | None = None, of_each: int | None = None) -> Iterator[list[Visit]]:
    """Give the demo's works, each as its visits in order of time."""
    told = json.loads((FOLDER / "studio.json").read_text(encoding="utf-8"))
    labs = {c["name"]: c["patches"] for c in told["cards"]}
    all_works = [(client, work) for client in told["clients"] for work in client["works"]]
    for client, work in all_works[:works]:
        yield [
            Visit(
                work=f"{client['alias']}, {work['site']}",
                site=work["site"],
                photo=read_photo((FOLDER / f["photo"]).read_bytes()),
                patches=[
                    Patch(np.array(c, float), np.array(lab, float))
                    for c, lab in zip(f["card_patches"], labs[f["card"]], strict=True)
                ],
                outline=np.array(f["outline"], dtype=float),
            )
            for f in work["follow_ups"][:of_each]
        ]


def overlap(one: Floats, other: Floats, photo: Photo) -> float:
    """Give intersection over union of two outlines."""
    box = bounding_box(np.concatenate([one, other]), 1, photo.width, photo.height)
    first, second = inside(one, box), inside(other, box)
    return float((first & second).sum() / max((first | second).sum(), 1))


def cost(visit: Visit, outline: Floats) -> float:
    """Give ΔE00 between the pigmented skin measured by an outline and by the one drawn by hand."""
    try:
        mine = measure(visit.photo, outline, visit.patches).pigment.lab
    except MarkUnusable:
        return float("nan")
    return float(delta_e_00(mine, measure(visit.photo, visit.outline, visit.patches).pigment.lab))


def softened(photo: Photo, sd: float) -> Photo:
    if sd == 0:
        return photo
    codes = photo.codes(bounding_box(np.array([[0, 0], [photo.width, photo.height]]), 0, photo.width, photo.height))
    soft = gaussian_filter(codes.astype(np.float32), (sd, sd, 0))
    return Photo(np.clip(np.round(soft), 0, 255).astype(np.uint8), photo.encoding, None)


def carried_table(works: list[list[Visit]], sd: float) -> list[tuple[float, ...]]:
    """Give for each carried outline: overlap, overlap of the last one as it lay, claimed and real error, cost."""
    lines: list[tuple[float, ...]] = []
    for work in works:
        marks = [find_landmarks(softened(v.photo, sd), v.card) for v in work]
        for before, after, known, seen in zip(work, work[1:], marks, marks[1:], strict=False):
            carried = carry_over(known, before.outline, seen)
            if carried is None:
                continue
            length = float(np.hypot(*np.ptp(after.outline, axis=0)))
            off = np.linalg.norm(carried.outline - after.outline, axis=1) / length
            lines.append(
                (
                    overlap(carried.outline, after.outline, after.photo),
                    overlap(before.outline, after.outline, after.photo),
                    carried.within,
                    float(np.mean(off <= carried.within)),
                    cost(after, carried.outline),
                    cost(after, before.outline),
                )
            )
    return lines


def strangers_accepted(works: list[list[Visit]]) -> tuple[int, int]:
    """Give how many outlines were carried over between different faces or sites, and of how many tries."""
    rng = np.random.default_rng(5)
    known: list[tuple[str, Floats, Landmarks]] = [
        (v.work, v.outline, find_landmarks(v.photo, v.card)) for work in works for v in work[::2]
    ]
    accepted = tried = 0
    for name, outline, marks in known:
        others = [k for k in known if k[0] != name]
        for i in rng.permutation(len(others))[:STRANGERS]:
            tried += 1
            accepted += carry_over(marks, outline, others[i][2]) is not None
    return accepted, tried


def main() -> None:
    works = list(visits())
    pairs = sum(len(w) - 1 for w in works)
    print("Carried over from the photo before (overlap: intersection over union with the outline drawn by hand)")
    print(f"{'softened':>8} {'offered':>9} {'overlap median, least':>22} {'as it lay':>9} {'claimed':>8} "
          f"{'held':>6} {'ΔE00 median, worst':>19} {'as it lay':>9}")  # fmt: skip
    for sd in SOFTENED:
        t = np.array(carried_table(works, sd))
        print(
            f"{sd:8.0f} {len(t):4d}/{pairs:<4d} {np.median(t[:, 0]):15.2f}, {t[:, 0].min():.2f} "
            f"{np.median(t[:, 1]):9.2f} {np.median(t[:, 2]):8.1%} {np.mean(t[:, 3]):6.0%} "
            f"{np.median(t[:, 4]):13.2f}, {t[:, 4].max():.2f} {np.nanmedian(t[:, 5]):9.2f}"
        )
    accepted, tried = strangers_accepted(works)
    print(f"Between photographs of different works: offered {accepted} of {tried} times.\n")
    print("Proposed from the photo alone")
    for kind in ("brow", "eyeliner"):
        all_of = [v for work in works for v in work if kind in v.site]
        made = [(v, propose_outline(v.photo, v.site, v.card)) for v in all_of]
        overlaps = np.array([overlap(p.outline, v.outline, v.photo) for v, p in made if p is not None])
        costs = np.array([cost(v, p.outline) for v, p in made if p is not None])
        print(
            f"{kind:8} offered {len(overlaps)}/{len(all_of)}, overlap median {np.median(overlaps):.2f}, "
            f"10 % under {np.quantile(overlaps, 0.1):.2f}, least {overlaps.min():.2f}; "
            f"ΔE00 median {np.nanmedian(costs):.2f}, 90 % {np.nanquantile(costs, 0.9):.2f}"
        )


if __name__ == "__main__":
    main()
