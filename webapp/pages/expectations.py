"""What the studio's other works let one expect of a work, from the verdicts that are kept."""

from __future__ import annotations

from sqlmodel import Session as DatabaseSession

from webapp.drift.prior import QUANTITIES, KnownRates, Priors
from webapp.pages.judged_works import fresh_cycles
from webapp.settings import Settings


def studio_priors(rows: DatabaseSession, settings: Settings) -> Priors:
    """Give the studio's expectations, as far as its works are judged. Removals teach nothing."""
    return Priors(
        KnownRates(
            cycle.client_id,
            cycle.family,
            cycle.technique,
            cycle.site,
            {q: cycle.rates[q] for q in QUANTITIES if q in cycle.rates},
        )
        for cycle in fresh_cycles(rows, settings)
        if cycle.kind != "removal"
    )
