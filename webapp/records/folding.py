"""How names are compared: capitals apart, and for searching accents apart too."""

from __future__ import annotations

import unicodedata


def casefolded(text: str | None) -> str:
    """Give a name as it is compared for being the same: capitals apart, in every alphabet."""
    return (text or "").casefold()


def folded(text: str | None) -> str:
    """Give a name as it is searched: capitals and accents apart, so that “anne” finds “Änne”."""
    parts = unicodedata.normalize("NFKD", text or "")
    return "".join(c for c in parts if not unicodedata.combining(c)).casefold()
