"""The tables of how far photos lie apart and from the truth, and whether the stated errors cover that."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from demo_scene.spectra import Floats

from simulation.trials import METHODS, Pair, Seen
from webapp.colorimetry.density import density
from webapp.colorimetry.difference import delta_e_00
from webapp.drift.change import Comparison, anchor, compare

ROWS = ("no correction", *METHODS)


def quantiles(values: Sequence[float] | Floats) -> str:
    """Median and 90th percentile."""
    return f"{np.median(values):5.2f} {np.quantile(values, 0.9):5.2f}"


def sound(pairs: Iterable[Pair], method: str) -> list[tuple[Pair, Seen, Seen]]:
    """The pairs of which neither photo was graded retake."""
    return [(p, *p.seen[method]) for p in pairs if all(s.sound for s in p.seen[method])]


def print_distances(lamps: str, pairs: list[Pair]) -> None:
    """Accuracy of single photos, and the spread between two, card-only and anchored: median and 90 %."""
    for method in ROWS:
        kept = sound(pairs, method)
        truth, apart, anchored = [], [], []
        for pair, first, second in kept:
            truth += [
                float(delta_e_00(s.pigment.lab, t)) for s, t in zip((first, second), pair.true_pigment, strict=True)
            ]
            apart.append(float(delta_e_00(first.pigment.lab, second.pigment.lab)))
            moved = anchor(second.pigment.lab, second.skin.lab, first.skin.lab)
            anchored.append(float(delta_e_00(first.pigment.lab, moved)))
        print(
            f"{lamps:6} {method:18} {quantiles(truth):>13} {quantiles(apart):>13} {quantiles(anchored):>15} "
            f"{2 * (len(pairs) - len(kept)):>7}"
        )


def print_distances_head(works: str) -> None:
    print(f"\n1. ΔE00 of pigmented skin over simulated photographs ({works}), median and 90th percentile")
    print(f"{'lamps':6} {'method':18} {'to the truth':>13} {'two photos':>13} {'same, anchored':>15} {'retakes':>7}")


def errors(pairs: list[Pair], method: str) -> dict[str, tuple[Floats, Floats]]:
    """By quantity, the (n, k) errors between repeated photos, the truth's own change taken off, and their stated sd."""
    found: dict[str, list[tuple[Floats, Floats]]] = {}
    for pair, first, second in sound(pairs, method):
        comparison = compare(first.pigment, first.skin, second.pigment, second.skin)
        for name, off, sd in _off(pair, comparison):
            found.setdefault(name, []).append((off, sd))
    return {name: (np.array([o for o, _ in rows]), np.array([s for _, s in rows])) for name, rows in found.items()}


def _off(pair: Pair, comparison: Comparison) -> Iterable[tuple[str, Floats, Floats]]:
    assert comparison.anchored is not None
    assert comparison.skin is not None
    assert comparison.density is not None
    pigment, skin = (np.diff(labs, axis=0)[0] for labs in (pair.true_pigment, pair.true_skin))
    held = anchor(pair.true_pigment[1], pair.true_skin[1], pair.true_skin[0]) - pair.true_pigment[0]
    yield "pigmented skin, card only", _floats(comparison.card_only.lab - pigment), _floats(comparison.card_only.sd)
    yield "pigmented skin, anchored", _floats(comparison.anchored.lab - held), _floats(comparison.anchored.sd)
    yield "bare skin, card only", _floats(comparison.skin.lab - skin), _floats(comparison.skin.sd)
    left = float(np.diff(density(pair.true_pigment, pair.true_skin))[0])
    yield "density", np.array([comparison.density.step - left]), np.array([comparison.density.sd])


def _floats(values: object) -> Floats:
    return np.asarray(values, dtype=np.float64)


def print_coverage(pairs: list[Pair]) -> None:
    """Share of errors between repeated photos within one and two stated standard deviations, per coordinate."""
    print("\n5. Errors between repeated photos within one and two stated standard deviations (aim 68 and 95 %)")
    print(f"{'method':18} {'quantity':26} {'L* (density)':>13} {'a*':>9} {'b*':>9}")
    for method in METHODS:
        for name, (off, sd) in errors(pairs, method).items():
            one, two = ((np.abs(off) < k * sd).mean(axis=0) for k in (1, 2))
            cells = [f"{a:4.0%} {b:4.0%}" for a, b in zip(one, two, strict=True)]
            print(f"{method:18} {name:26} {cells[0]:>13} " + " ".join(f"{c:>9}" for c in cells[1:]))
