"""What two records of one person's consents come to, by the stricter reading."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from webapp.records.tables import Consent
from webapp.records.words import CONSENT_SCOPES


@dataclass(frozen=True)
class ScopeAfter:
    """One scope after merging: whether it is in force, and which consents end with what day.

    `ended` holds (the consent, the day on which the other record says that it was withdrawn).
    """

    scope: str
    in_force: bool
    ended: tuple[tuple[Consent, date], ...]


def consents_after(one: Sequence[Consent], other: Sequence[Consent]) -> tuple[ScopeAfter, ...]:
    """Give what merging two clients' consents comes to, scope by scope.

    A withdrawal counts for the person, whichever record it stands in: it ends every consent of the other record
    that was given on or before its day. So nothing withdrawn is revived, and what was given anew after it stays.
    """
    return tuple(_scope_after(scope, one, other) for scope in CONSENT_SCOPES)


def _scope_after(scope: str, one: Sequence[Consent], other: Sequence[Consent]) -> ScopeAfter:
    ended, standing = [], 0
    for own, across in ((one, other), (other, one)):
        withdrawals = [c.withdrawn_on for c in across if c.scope == scope and c.withdrawn_on is not None]
        for consent in own:
            if consent.scope != scope or consent.withdrawn_on is not None:
                continue
            since = [day for day in withdrawals if day >= consent.given_on]
            if since:
                ended.append((consent, max(since)))
            else:
                standing += 1
    return ScopeAfter(scope, standing > 0, tuple(ended))
