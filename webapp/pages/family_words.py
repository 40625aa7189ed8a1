"""What the figures of the families page allow to say, in sentences, and no more."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.drift.differences import Difference
from webapp.drift.groups import FEWEST_CLIENTS, Label
from webapp.pages.family_choice import TRAITS, Choice
from webapp.pages.family_view import FamilyView
from webapp.pages.render import number

MOST_PAIRS = 3
"""Differences told in full; more are counted."""


def verdict(view: FamilyView) -> list[str]:
    """Give the sentences for the top of the page."""
    if not view.groups:
        return []
    if len(view.solid) < 2:
        which = f"Only “{view.solid[0].name}” rests" if view.solid else "No group rests"
        return [
            f"{which} on {FEWEST_CLIENTS} clients or more, so nothing can be compared yet. The figures show what your "
            "own works did; they do not speak for a group."
        ]
    if not view.pairs:
        return [
            f"No two groups of {FEWEST_CLIENTS} clients or more share their {TRAITS[view.choice.within]}, so nothing "
            "can be compared within it yet."
        ]
    sentences = [_compared(view.pairs, view.choice)]
    if view.adjustment is not None and view.adjustment.pairs:
        sentences.append(
            f"With {listed([TRAITS[a] for a in view.choice.adjust])} held equal: "
            + _lower(_compared(view.adjustment.pairs, view.choice))
        )
        sentences += _contradicted(view)
    elif view.adjustment is None and any(p.real for p in view.pairs):
        sentences.append(
            "Nothing is held equal here: who did the works, on which skin and how may differ between these groups, and "
            "make the difference."
        )
    return sentences


def _compared(pairs: Sequence[Difference], choice: Choice) -> str:
    real = [p for p in pairs if p.real]
    if not real:
        most = max(abs(end) for p in pairs for end in p.interval)
        return f"No difference in {choice.quantity.words} between these groups can be told apart from chance; " + (
            f"a year may still leave up to {_amount(most, choice)} less of the same density in one than in another."
            if choice.quantity.decays
            else f"differences of up to {_amount(most, choice)} a year are not ruled out."
        )
    told = "; ".join(_pair(p, choice) for p in real[:MOST_PAIRS])
    more = f"; {_count(len(real) - MOST_PAIRS, 'more pair')} can be told apart" if len(real) > MOST_PAIRS else ""
    rest = len(pairs) - len(real)
    others = f" The other {_count(rest, 'pair')} cannot be told apart." if rest else ""
    return f"{told[0].upper()}{told[1:]}{more}.{others}"


def _pair(pair: Difference, choice: Choice) -> str:
    first, second, step = pair.first, pair.second, pair.step
    low, high = pair.interval
    if step < 0:
        first, second, step, low, high = second, first, -step, -high, -low
    shared = choice.shared
    where = f"within “{name(first[:shared])}”, " if shared else ""
    one, other = f"“{name(first[shared:])}”", f"“{name(second[shared:])}”"
    interval = f"({number(choice.quantity.shown(low), choice.quantity.digits)} to {_amount(high, choice)})"
    if choice.quantity.decays:
        return (
            f"{where}{one} fades faster than {other}: a year leaves {_amount(step, choice)} less of the same density "
            f"{interval}"
        )
    return f"{where}{one} turns {choice.quantity.rises} than {other} by {_amount(step, choice)} a year {interval}"


def _contradicted(view: FamilyView) -> list[str]:
    """Say which differences the adjustment takes away."""
    if view.adjustment is None:
        return []
    held = {frozenset((p.first, p.second)): p.real for p in view.adjustment.pairs}
    lost = [p for p in view.pairs if p.real and held.get(frozenset((p.first, p.second))) is False]
    if not lost:
        return []
    pairs = listed([f"“{name(p.first)}” and “{name(p.second)}”" for p in lost[:MOST_PAIRS]])
    return [
        f"So the difference between {pairs} may come from {listed([TRAITS[a] for a in view.choice.adjust])} "
        f"rather than from {listed([TRAITS[t] for t in view.choice.traits])}."
    ]


def left_out(view: FamilyView) -> str:
    """Say who is not counted, and why; empty where everyone is."""
    if not view.clients_not_agreed:
        return ""
    many = view.clients_not_agreed != 1
    return (
        f"{view.clients_not_agreed} client{'s' * many} with works that could be counted "
        f"{'have' if many else 'has'} not agreed to studio statistics, or no longer, and {'are' if many else 'is'} "
        "left out. Consent to keeping photos does not include it; it is recorded on the client's page."
    )


def name(label: Label) -> str:
    """Give a group in words."""
    return " · ".join(label)


def listed(words: Sequence[str]) -> str:
    """Write words as a list in a sentence."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _amount(value: float, choice: Choice) -> str:
    quantity = choice.quantity
    return number(quantity.shown(value), quantity.digits) + (f" {quantity.unit}" if quantity.unit else "")


def _count(count: int, what: str) -> str:
    return f"{count} {what}{'s' * (count != 1)}"


def _lower(sentence: str) -> str:
    return sentence[0].lower() + sentence[1:]
