"""Everything that the families page shows of one choice: groups, pairs, adjusted figures, half-lives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session as DatabaseSession

from webapp.drift.adjusting import AdjustedRate, Adjustment, adjust
from webapp.drift.differences import Difference, compare_pairs
from webapp.drift.groups import CycleRates, Entry, Group, Label, entries, pool_groups
from webapp.drift.half_life import HalfLife, half_life
from webapp.drift.pooling import Pooled
from webapp.pages.family_choice import Choice
from webapp.pages.family_cycles import studio_cycles
from webapp.records.words import FAMILIES, HANDS, TECHNIQUES
from webapp.settings import Settings

_ORDERS = {
    "family": FAMILIES,
    "technique": TECHNIQUES,
    "skin": ("very light", "light", "intermediate", "tan", "brown", "dark"),
    "hand": HANDS,
}
"""Traits whose values have an order of their own; the others go by the alphabet."""


@dataclass(frozen=True)
class GroupView:
    """One group as the page shows it: `rate` is that of the chosen quantity, None where no client has it."""

    group: Group
    rate: Pooled | None
    adjusted: AdjustedRate | None
    half_life: HalfLife | None
    too_few: bool
    half_life_too_few: bool

    @property
    def name(self) -> str:
        """The group in words."""
        return " · ".join(self.group.label)

    @property
    def clients(self) -> int:
        """The clients behind the rate."""
        return 0 if self.rate is None else self.rate.count


@dataclass(frozen=True)
class FamilyView:
    """What is shown; `pairs` compares the groups that are not too few."""

    choice: Choice
    groups: tuple[GroupView, ...]
    pairs: tuple[Difference, ...]
    adjustment: Adjustment | None
    works: int
    clients: int
    clients_not_agreed: int
    cycles: tuple[CycleRates, ...]

    @property
    def solid(self) -> list[GroupView]:
        """The groups that enough clients stand behind."""
        return [g for g in self.groups if not g.too_few]

    def entries(self) -> dict[Label, list[Entry]]:
        """Give the clients' entries by group."""
        found: dict[Label, list[Entry]] = {}
        for entry in entries(self.cycles, self.choice.traits, self.choice.of):
            found.setdefault(entry.label, []).append(entry)
        return found


def make_view(rows: DatabaseSession, settings: Settings, choice: Choice) -> FamilyView:
    """Work out what a choice asks for."""
    counted = studio_cycles(rows, settings)
    quantities = dict.fromkeys((choice.of, "fading"))
    groups = pool_groups(counted.cycles, choice.traits, list(quantities))
    adjustment = None
    if choice.adjust and groups:
        adjustment = adjust(counted.cycles, choice.traits, choice.adjust, choice.of, choice.shared)
    views = [_group(g, choice, adjustment) for g in groups]
    views.sort(key=lambda v: _order(v.group.label, choice.traits))
    return FamilyView(
        choice,
        tuple(views),
        compare_pairs({v.group.label: v.rate for v in views if v.rate is not None and not v.too_few}, choice.shared),
        adjustment,
        works=len({c.work for c in counted.cycles}),
        clients=len({c.client for c in counted.cycles}),
        clients_not_agreed=counted.clients_not_agreed,
        cycles=counted.cycles,
    )


def _group(group: Group, choice: Choice, adjustment: Adjustment | None) -> GroupView:
    fading = group.rates.get("fading")
    return GroupView(
        group,
        group.rates.get(choice.of),
        None if adjustment is None else adjustment.rates.get(group.label),
        None if fading is None else half_life(fading),
        too_few=group.rests_on_too_few(choice.of),
        half_life_too_few=group.rests_on_too_few("fading"),
    )


def _order(label: Label, traits: Sequence[str]) -> list[tuple[int, str]]:
    places = []
    for value, trait in zip(label, traits, strict=True):
        order = _ORDERS.get(trait, ())
        places.append((order.index(value) if value in order else len(order), value))
    return places
