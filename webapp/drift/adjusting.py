"""Groups compared as if they had all been done by the same hands, on the same skins, and so on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from webapp.colorimetry.encodings import Floats
from webapp.drift.differences import Difference, judge_pairs
from webapp.drift.groups import FEWEST_CLIENTS, CycleRates, Entry, Label, entries
from webapp.drift.meta_regression import Regression, regress

FEWEST_LEFT_OVER = 3
"""Degrees of freedom below which an adjusted figure would be a guess."""


@dataclass(frozen=True)
class AdjustedRate:
    """A group's rate per year at the mix of moderators of all that are compared, with its 95 % interval."""

    mean: float
    interval: tuple[float, float]
    clients: int


@dataclass(frozen=True)
class Adjustment:
    """Adjusted rates by group, the pairs compared, the spread τ² that is left, and what could not be done and why."""

    rates: Mapping[Label, AdjustedRate]
    pairs: tuple[Difference, ...]
    tau2: float
    sentences: tuple[str, ...]


def adjust(
    cycles: Sequence[CycleRates], by: Sequence[str], moderators: Sequence[str], quantity: str, shared: int = 0
) -> Adjustment:
    """Compare groups while holding moderators equal, by a random-effects meta-regression with a term for each.

    Groups below FEWEST_CLIENTS are left out. Where a group goes together with a moderator so closely that the works
    cannot tell the two apart, it is left out and a sentence says so. Pairs are of groups alike in their first `shared`
    traits.
    """
    cells = entries(cycles, (*by, *moderators), quantity)
    clients: dict[Label, set[int]] = {}
    for cell in cells:
        clients.setdefault(cell.label[: len(by)], set()).add(cell.client)
    solid = sorted(label for label, those in clients.items() if len(those) >= FEWEST_CLIENTS)
    if len(solid) < 2:
        return _nothing(f"There are not two groups of {FEWEST_CLIENTS} clients or more to compare.")
    largest = max(solid, key=lambda label: len(clients[label]))
    cells = [c for c in cells if c.label[: len(by)] in solid]
    joined = [label for label in solid if label == largest or _comparable(cells, by, moderators, largest, label)]
    sentences = [
        _inseparable(cells, by, moderators, largest, label, others=len(joined) > 1)
        for label in solid
        if label not in joined
    ]
    if len(joined) < 2:
        return _nothing(*sentences)
    cells = [c for c in cells if c.label[: len(by)] in joined]
    design, columns = _design(cells, by, moderators)
    fitted = _regress(cells, design)
    if fitted is None or fitted.freedom < FEWEST_LEFT_OVER:
        return _nothing(
            *sentences,
            f"{len({c.client for c in cells})} clients are too few to adjust for {_list(moderators)}: choose less.",
        )
    mix = design[:, len(columns) :].mean(axis=0)
    rates = {}
    for label in joined:
        at = np.concatenate([_is(columns, label), mix])
        rates[label] = AdjustedRate(fitted.value(at), fitted.interval(at), len(clients[label]))
    pairs = []
    for i, first in enumerate(joined):
        for second in joined[i + 1 :]:
            if first[:shared] != second[:shared]:
                continue
            step = np.concatenate([_is(columns, first) - _is(columns, second), np.zeros(len(mix))])
            pairs.append((first, second, fitted.value(step), fitted.se(step), float(fitted.freedom)))
    return Adjustment(rates, judge_pairs(pairs), fitted.tau2, tuple(sentences))


def _nothing(*sentences: str) -> Adjustment:
    return Adjustment({}, (), 0.0, sentences)


def _regress(cells: Sequence[Entry], design: Floats) -> Regression | None:
    rates, ses = np.array([(c.rate, c.se) for c in cells]).T
    return regress(rates, ses, design, np.array([c.client for c in cells]))


def _design(cells: Sequence[Entry], by: Sequence[str], moderators: Sequence[str]) -> tuple[Floats, list[Label]]:
    """Give a design with a column for each group, then one for each value but the first of each moderator."""
    groups = sorted({c.label[: len(by)] for c in cells})
    columns = [[float(c.label[: len(by)] == group) for c in cells] for group in groups]
    for place in range(len(by), len(by) + len(moderators)):
        for value in sorted({c.label[place] for c in cells})[1:]:
            columns.append([float(c.label[place] == value) for c in cells])
    return np.array(columns).T, groups


def _is(groups: Sequence[Label], label: Label) -> Floats:
    return np.array([float(group == label) for group in groups])


def _comparable(
    cells: Sequence[Entry], by: Sequence[str], moderators: Sequence[str], first: Label, second: Label
) -> bool:
    """Whether two groups can be told apart beside the moderators: whether their contrast lies in the rows' space."""
    design, groups = _design(cells, by, moderators)
    kinds = np.unique(design, axis=0)
    contrast = np.zeros(design.shape[1])
    contrast[: len(groups)] = _is(groups, first) - _is(groups, second)
    with_it = np.vstack([kinds, contrast])
    return bool(np.linalg.matrix_rank(with_it) == np.linalg.matrix_rank(kinds))


def _inseparable(
    cells: Sequence[Entry],
    by: Sequence[str],
    moderators: Sequence[str],
    largest: Label,
    label: Label,
    others: bool,
) -> str:
    alone = []
    for i, moderator in enumerate(moderators, len(by)):
        fewer = [Entry(c.client, (*c.label[: len(by)], c.label[i]), c.rate, c.se, c.works, c.months) for c in cells]
        if not _comparable(fewer, by, [moderator], largest, label):
            alone.append(moderator)
    what = _list(alone or moderators)
    from_whom = "the others" if others else " · ".join(largest)
    return (
        f"“{' · '.join(label)}” cannot be told apart from {what}: none of its works shares "
        f"{'its' if len(alone or moderators) == 1 else 'their'} {what} with works of {from_whom}, "
        "so it has no adjusted figure."
    )


def _list(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
