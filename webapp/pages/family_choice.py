"""What is to be compared on the families page, as its address says."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from math import exp, expm1
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

TRAITS = {
    "family": "family",
    "pigment": "pigment",
    "technique": "technique",
    "site": "site",
    "artist": "artist",
    "skin": "skin tone",
    "hand": "hand",
}
"""What works can be grouped by, and the words for it."""


@dataclass(frozen=True)
class Quantity:
    """A rate that can be compared: its words, unit, the axis' title, and what a rise and a fall are called."""

    words: str
    unit: str
    axis: str
    rises: str
    decays: bool = False
    digits: int = 1

    def shown(self, change: float) -> float:
        """Give a change as it is shown: as it is, or, of a decay rate, the % that it takes away."""
        return -100 * expm1(-change) if self.decays else change

    def shown_ends(self, interval: tuple[float, float] | None) -> tuple[float, float] | None:
        """Give an interval as it is shown; None where there is none."""
        return None if interval is None else (self.shown(interval[0]), self.shown(interval[1]))

    def shown_spread(self, sd: float, at: float) -> float:
        """Give a standard deviation about a rate as it is shown."""
        return 100 * exp(-at) * sd if self.decays else sd


QUANTITIES = {
    "own_warmth": Quantity("warmth beyond fading", "", "← cooler · warmth beyond fading, a year · warmer →", "warmer"),
    "warmth": Quantity("warmth as seen", "", "← cooler · warmth as seen, a year · warmer →", "warmer"),
    "own_cross": Quantity(
        "yellow-olive against pink-violet, beyond fading",
        "",
        "← pink-violet · beyond fading, a year · yellow-olive →",
        "more to yellow-olive",
    ),
    "lightness": Quantity("lightness", "L*", "← deeper · change of L* a year · lighter →", "lighter"),
    "fading": Quantity(
        "fading", "%", "← deepens · % of density lost in a year · fades →", "faster in fading", decays=True, digits=0
    ),
}


@dataclass(frozen=True)
class Choice:
    """Groups by one trait, or by one within another; which rate; and what to hold equal."""

    by: str = "family"
    within: str = ""
    of: str = "own_warmth"
    adjust: tuple[str, ...] = ()

    @property
    def traits(self) -> tuple[str, ...]:
        """The traits that make a group, that within which others are compared first."""
        return (self.within, self.by) if self.within else (self.by,)

    @property
    def shared(self) -> int:
        """How many of the traits groups must share to be compared."""
        return len(self.traits) - 1

    @property
    def quantity(self) -> Quantity:
        """The rate's words."""
        return QUANTITIES[self.of]

    @property
    def query(self) -> str:
        """The same choice as an address says it."""
        pairs = [("by", self.by), ("within", self.within), ("of", self.of), *(("adjust", a) for a in self.adjust)]
        return urlencode([(name, value) for name, value in pairs if value])


def read_choice(query: QueryParams) -> tuple[Choice, list[str]]:
    """Give the choice that an address makes, and a sentence for everything in it that cannot be."""
    plain = Choice()
    wrong: list[str] = []
    by = _one(query, "by", TRAITS, plain.by, "Works cannot be grouped by “{}”; they are grouped by family.", wrong)
    within = _one(query, "within", TRAITS, "", "Groups cannot be divided by “{}”; they are left whole.", wrong)
    if within == by:
        wrong.append(f"The groups are already by {TRAITS[by]}; dividing them by it again changes nothing.")
        within = ""
    of = _one(query, "of", QUANTITIES, plain.of, "There is no rate called “{}”; warmth beyond fading is shown.", wrong)
    adjust = []
    for name in dict.fromkeys(query.getlist("adjust")):
        if name not in TRAITS:
            wrong.append(f"Nothing called “{_short(name)}” can be held equal; it is left out.")
        elif name in (by, within):
            wrong.append(f"The groups differ by {TRAITS[name]}, so it cannot be held equal; it is left out.")
        else:
            adjust.append(name)
    return Choice(by, within, of, tuple(adjust)), wrong


def _one(query: QueryParams, name: str, options: Collection[str], plain: str, no: str, wrong: list[str]) -> str:
    value = query.get(name, "")
    if value in options or not value:
        return value or plain
    wrong.append(no.format(_short(value)))
    return plain


def _short(value: str) -> str:
    return value if len(value) <= 40 else value[:39] + "…"
