"""The trade-offs of a choice in words that a client can follow. No winner: what speaks for it, and what against."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.correction.choosing import Outlook, Question

_LIKELY, _POSSIBLE = 0.5, 0.2
_SOFT, _STRONG = 0.4, 0.7
"""Densities below which work looks soft, and above which it looks strong. Our own choice, no source."""
_SOON, _LONG = 2.5, 4.0
"""Half-lives in years below which work goes soon, and above which it stays long. Our own choice, no source."""


@dataclass(frozen=True)
class TradeOffs:
    """A sentence on what to expect, and what of it speaks for and against the client's wish."""

    story: str
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]


def trade_offs(question: Question, outlook: Outlook) -> TradeOffs:
    """Put an outlook in words, against the wish."""
    low, middle, high = outlook.half_life
    look = "soft" if outlook.depth < _SOFT else "strong" if outlook.depth > _STRONG else "neither soft nor strong"
    story = (
        f"Healed, it is {look}. Half of it is gone after about {_years(middle)} (four times out of five within "
        f"{low:.1f} to {high:.1f} years), so that after three years about {_tenths(outlook.left)} is left. "
        f"{_turning(outlook)}"
    )
    fades_soon, stays_long = middle < _SOON, middle > _LONG
    holds_hue = max(outlook.ashy, outlook.warm) < _LIKELY
    good: list[str] = []
    bad: list[str] = []
    if question.wish == "natural":
        (bad if outlook.depth > _STRONG else good).append(
            f"looks {look}" if outlook.depth <= _STRONG else "looks strong"
        )
        if fades_soon:
            good.append("goes by itself, which leaves room to change")
        if stays_long:
            bad.append("stays for years, also where taste or face change")
    else:
        (good if outlook.depth > _SOFT else bad).append(f"looks {look}")
        if stays_long:
            good.append("stays long between colour boosts")
        if fades_soon:
            bad.append("asks for colour boosts sooner")
    (good if holds_hue else bad).append(
        "more likely than not keeps its hue as it fades" if holds_hue else _bad_turn(outlook)
    )
    if question.place == "eyeliner" and outlook.family in ("carbon/organic", "hybrid"):
        bad.append("small carbon particles can spread in eyelid skin (common practice, no source)")
    if question.fragile:
        (good if outlook.family == "inorganic" else bad).append(
            "inorganic and diluted is the usual choice on thin or mature skin (common practice, no source)"
            if outlook.family == "inorganic"
            else "thin or mature skin usually gets a lighter, diluted, inorganic choice (common practice, no source)"
        )
    return TradeOffs(story, tuple(good), tuple(bad))


def _turning(outlook: Outlook) -> str:
    ashy, warm = outlook.ashy, outlook.warm
    if max(ashy, warm) < _POSSIBLE:
        return "It keeps its hue in most cases."
    if abs(ashy - warm) < 0.15:
        return f"It may turn either way: ashy in about {_tenths(ashy)}, warm in about {_tenths(warm)} of cases."
    if ashy > warm:
        return f"It ends ashy (cooler, greyer) in about {_tenths(ashy)} of cases, warm in about {_tenths(warm)}."
    return f"It ends warm (more orange or red) in about {_tenths(warm)} of cases, ashy in about {_tenths(ashy)}."


def _bad_turn(outlook: Outlook) -> str:
    return f"likely to turn {'ashy' if outlook.ashy > outlook.warm else 'warm'} within three years"


def _years(years: float) -> str:
    return f"{years:.1f} years" if years >= 1.05 else f"{12 * years:.0f} months"


def _tenths(share: float) -> str:
    tenths = round(10 * share)
    if tenths <= 0:
        return "hardly any"
    return "nine tenths or more" if tenths >= 9 else {1: "one tenth", 5: "half"}.get(tenths, f"{_WORDS[tenths]} tenths")


_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")
