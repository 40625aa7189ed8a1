"""The figures of the families page as comma-separated values."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from math import isfinite

from webapp.pages.family_view import FamilyView, GroupView

HEAD = (
    *("works", "clients", "too_few_clients", "rate", "unit", "per_year", "low_95", "high_95", "tau", "i2"),
    *("next_client_low_95", "next_client_high_95", "clients_of_rate", "held_equal"),
    *("adjusted_per_year", "adjusted_low_95", "adjusted_high_95"),
    *("half_life_months", "half_life_low_95", "half_life_high_95"),
)


def to_csv(view: FamilyView) -> str:
    """Write the groups with the figures that the page shows; an empty field is a figure that there is not."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow([*view.choice.traits, *HEAD])
    for group in view.groups:
        writer.writerow([*(_safe(v) for v in group.group.label), *_figures(view, group)])
    return text.getvalue()


def _figures(view: FamilyView, group: GroupView) -> Iterator[object]:
    quantity, rate, adjusted, half = view.choice.quantity, group.rate, group.adjusted, group.half_life
    yield from (group.group.works, group.group.clients, "yes" if group.too_few else "no")
    yield from (view.choice.of, "% of density lost in a year" if quantity.decays else f"{quantity.unit} a year".strip())
    if rate is None:
        yield from ("",) * 8
    else:
        yield from (_number(quantity.shown(rate.mean)), *_ends(quantity.shown_ends(rate.interval)))
        yield _number(quantity.shown_spread(rate.tau2**0.5, rate.mean))
        yield from (_number(rate.i2), *_ends(quantity.shown_ends(rate.next_interval)), rate.count)
    yield " ".join(view.choice.adjust)
    if adjusted is None:
        yield from ("",) * 3
    else:
        yield from (_number(quantity.shown(adjusted.mean)), *_ends(quantity.shown_ends(adjusted.interval)))
    if half is None:
        yield from ("",) * 3
    else:
        yield from (_number(half.months), *_ends(half.interval))


def _ends(interval: tuple[float, float] | None) -> tuple[str, str]:
    return ("", "") if interval is None else (_number(interval[0]), _number(interval[1]))


def _number(value: float) -> str:
    return f"{value:.5g}" if isfinite(value) else ""


def _safe(value: str) -> str:
    """Keep a spreadsheet from taking a name for a formula."""
    return "'" + value if value[:1] in ("=", "+", "-", "@", "\t", "\r") else value
