"""One constituent of a pigment, and what it is in plain words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from webapp.pigments.colour_index import colourant, structure_of
from webapp.pigments.label_signs import name_alone
from webapp.pigments.names import named

Role = Literal["colourant", "carrier", "preservative", "other", "unknown"]
_MARK = "+/- "


@dataclass(frozen=True)
class Constituent:
    """A constituent in the label's words.

    `number` is its Colour Index number or ""; `share` the per cent by weight where printed. `optional` are those
    that the label says it may contain. `doubt` is a sentence where parts of the text do not agree.
    """

    text: str
    role: Role = "unknown"
    number: str = ""
    share: float | None = None
    optional: bool = False
    doubt: str = ""

    @property
    def kept_text(self) -> str:
        """The text as it is kept by itself: one that may be absent carries its mark."""
        return f"{_MARK}{self.text}" if self.optional else self.text

    @classmethod
    def kept(cls, text: str, role: Role, number: str, share: float | None) -> Constituent:
        """Give a constituent from what is kept of it; its mark tells whether it may be absent."""
        return cls(text.removeprefix(_MARK), role, number, share, optional=text.startswith(_MARK))

    @property
    def canonical(self) -> str:
        """One way to write it, which reads back as the same."""
        share = "" if self.share is None else f" {self.share:g} %"
        written = f"CI {self.number}{share}" if self.number else self.text
        return f"[{_MARK}{written}]" if self.optional else written

    @property
    def plain(self) -> str:
        """What it is, in plain words."""
        if self.number:
            line = colourant(self.number)
            if line is not None:
                return f"{line.name}: {line.colour}, {_kind_words(line.kind, line.structure)}"
            structure = structure_of(self.number)
            return f"not in the table; by its number {structure or 'no known structure'}"
        known = named(name_alone(self.text))
        words = "" if known is None else known.english
        if self.role == "unknown":
            return "not understood yet"
        if self.role == "colourant":
            return f"{words}, by name alone" if words else "a colourant without a number"
        role = {"carrier": "carries the colour", "preservative": "keeps it", "other": "auxiliary"}[self.role]
        return f"{words}: {role}" if words else role

    @property
    def caution(self) -> str:
        """What the EU restricts, "" where the table knows of nothing."""
        line = colourant(self.number) if self.number else None
        return "" if line is None else line.caution

    @property
    def note(self) -> str:
        """What the table notes of it."""
        line = colourant(self.number) if self.number else None
        return "" if line is None else line.note


def _kind_words(kind: str, structure: str) -> str:
    if kind in ("carbon", "titanium dioxide"):
        return {"carbon": "carbon", "titanium dioxide": "inorganic, counts for no family"}[kind]
    return f"{kind}" if structure in ("iron oxide", "other inorganic") else f"{kind} ({structure})"
