"""A label's text, typed or pasted as printed, read into constituents and statements; nothing of it is lost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from webapp.pigments.colour_index import colourant, is_cas, with_cas
from webapp.pigments.constituent import Constituent, Role
from webapp.pigments.label_parts import Piece, split_label, without_lone_brackets
from webapp.pigments.label_signs import (
    Mention,
    cas_numbers,
    generic_colourant,
    name_alone,
    number_mentions,
    share_of,
    split_heading,
    split_optional,
    statement,
)
from webapp.pigments.names import folded, named

Kind = Literal["constituent", "heading", "statement"]


@dataclass(frozen=True)
class Entry:
    """A part of the label in its order: a constituent, a heading before some, or a statement such as the batch."""

    kind: Kind
    text: str
    constituent: Constituent | None = None


@dataclass(frozen=True)
class Label:
    """A label that was read. `entries` hold all its letters and digits, in its order."""

    entries: tuple[Entry, ...]

    @property
    def constituents(self) -> tuple[Constituent, ...]:
        """The constituents alone."""
        return tuple(e.constituent for e in self.entries if e.constituent is not None)

    @property
    def statements(self) -> tuple[str, ...]:
        """What the label says beside its constituents."""
        return tuple(e.text for e in self.entries if e.kind == "statement")

    @property
    def canonical(self) -> str:
        """The constituents in one way of writing, which reads back as the same constituents."""
        return "; ".join(c.canonical for c in self.constituents)

    @property
    def says_nickel(self) -> bool:
        """Whether the label says that it contains nickel, to which many people are allergic."""
        return any({"nickel", "niquel", "nichel", "nikiel"} & set(folded(s).split()) for s in self.statements)


def read_label(text: str) -> Label:
    """Read a label. Never raises; what is not understood becomes a constituent of unknown role."""
    entries: list[Entry] = []
    optional = False
    for piece in _joined(split_label(text)):
        headings, rest = _beginnings(piece.text)
        for heading, opens in headings:
            entries.append(Entry("heading", heading))
            if not piece.optional:
                optional = opens  # until the label ends or another heading comes
        if not any(c.isalnum() for c in rest):
            continue
        if statement(rest):
            entries.append(Entry("statement", rest))
            continue
        for part, mention in _cut(rest):
            one = replace(read_constituent(part, mention), optional=optional or piece.optional)
            entries.append(Entry("constituent", one.text, one))
    return Label(tuple(entries))


def _beginnings(text: str) -> tuple[list[tuple[str, bool]], str]:
    """Give the headings that a part begins with, each with whether it opens what may be contained; and the rest."""
    found: list[tuple[str, bool]] = []
    while True:
        mark, rest = split_optional(text)
        heading, rest = (mark, rest) if mark else split_heading(text)
        if not heading:
            return found, text
        found.append((heading, bool(mark)))
        text = without_lone_brackets(rest)


def read_constituent(text: str, mention: Mention | None = None) -> Constituent:
    """Read the text of a single constituent."""
    if mention is None:
        mentions = number_mentions(text)
        mention = mentions[0] if mentions else None
    clean = without_lone_brackets(text)
    number, doubt = "" if mention is None else mention.number, ""
    cas = cas_numbers(text)
    wrong = [c for c in cas if not is_cas(c)]
    if wrong:
        doubt = f"{wrong[0]} is no CAS number: its last digit does not fit the others. Compare it with the label."
    by_cas = next((line for line in map(with_cas, cas) if line is not None), None)
    by_name = generic_colourant(text)
    known = named(name_alone(text))
    numbers = [line.number for line in (by_cas, by_name) if line is not None]
    if known is not None and known.number:
        numbers.append(known.number)
    if number and any(other != number.partition(":")[0] for other in numbers):
        doubt = doubt or f"Number and name do not agree: CI {number} is {_called(number)}. Compare it with the label."
    elif number and colourant(number) is None:
        doubt = doubt or f"CI {number} is not in the table; it is kept as printed. Compare it with the label."
    number = number or next(iter(numbers), "")
    role: Role = "colourant" if number else "unknown" if known is None or wrong else known.role
    return Constituent(clean, role, number, share_of(text), doubt=doubt)


def _called(number: str) -> str:
    line = colourant(number)
    return "not in the table" if line is None else line.name


def _cut(text: str) -> Iterator[tuple[str, Mention | None]]:
    """Cut a text that names several numbers, such as "Iron oxides (CI 77491, CI 77492)", before each new one."""
    mentions: list[Mention] = []
    for mention in number_mentions(text):
        if not mentions or mention.number != mentions[-1].number:
            mentions.append(mention)
    if len(mentions) < 2:
        yield text, mentions[0] if mentions else None
        return
    starts = [0, *(m.start for m in mentions[1:])]
    for start, end, one in zip(starts, [*starts[1:], len(text)], mentions, strict=True):
        yield without_lone_brackets(text[start:end]), one


def _joined(pieces: Sequence[Piece]) -> Iterator[Piece]:
    """Join what a line break tore apart: two lines that only together are a known constituent."""
    waiting: Piece | None = None
    for piece in pieces:
        if waiting is None:
            waiting = piece
        elif piece.after_line_break and _belong_together(waiting.text, piece.text):
            waiting = replace(waiting, text=f"{waiting.text} {piece.text}")
        else:
            yield waiting
            waiting = piece
    if waiting is not None:
        yield waiting


def _belong_together(first: str, second: str) -> bool:
    start = _beginnings(first)[1]
    if not start or statement(start) or statement(second) or _beginnings(second)[0]:
        return False
    both = f"{start} {second}"
    alone = read_constituent(start).role, read_constituent(second).role
    if alone[0] != "unknown" or read_constituent(both).role == "unknown":
        return False
    return alone[1] == "unknown" or named(name_alone(both)) is not None
