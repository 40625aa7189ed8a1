"""The mix of a session as its form offers and takes it: pigment with bottle, and parts, line by line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session as DatabaseSession
from sqlmodel import col, func, select

from webapp.pages.bottle_words import bottle_words
from webapp.pages.form import Form
from webapp.pigments.colour_index import colourant
from webapp.records import queries, shelf_rows
from webapp.records.tables import Pigment, Session, SessionPigment
from webapp.records.words import ADDS_PIGMENT, EARLIER_WORK, FAMILIES

_LINES, _LINES_AT_MOST = 3, 12
_PARTS_AT_MOST = 1000.0


@dataclass(frozen=True)
class Choice:
    """A pigment, or a bottle of it, that a line may name; `caution` says what wants a look before it is used."""

    value: str
    words: str
    caution: str


@dataclass(frozen=True)
class Group:
    """A pigment with its bottles."""

    name: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True)
class Line:
    """A line of the mix as it was entered."""

    number: int
    value: str
    parts: str


@dataclass
class Part:
    """A pigment of the mix as it is stored; one that is not on the shelf yet has no key."""

    pigment: Pigment
    bottle_id: int | None
    parts: float | None


def offered(rows: DatabaseSession, on: date) -> list[Group]:
    """Give the shelf as a session of a day may choose from it; a pigment's empty bottles stand last."""
    pigments = rows.exec(select(Pigment).order_by(func.folded(Pigment.name), col(Pigment.id))).all()
    keys = [p.id or 0 for p in pigments]
    bottles, numbers = shelf_rows.bottles_of(rows), shelf_rows.numbers_of(rows)
    groups = []
    for pigment, key in zip(pigments, keys, strict=True):
        lines = [line for line in map(colourant, numbers[key]) if line is not None]
        cautions = list(dict.fromkeys(line.caution for line in lines if line.caution))
        restricted = ", see the caution" if cautions else ""
        own = [bottle_words(b, on) for b in bottles[key]]
        plain = f"{pigment.name}, {'bottle not noted' if own else pigment.family}{restricted}"
        choices = [Choice(str(key), plain, " ".join(cautions))]
        for words in own:
            state = f": {words.state}" if words.caution else ""
            caution = " ".join([*([words.caution] if words.caution else []), *cautions])
            choices.append(Choice(f"{key}-{words.bottle.id}", f"{pigment.name}, {words.name}{state}", caution))
        groups.append(Group(f"{pigment.name} ({pigment.family})", tuple(choices)))
    return groups


def entries_of(rows: DatabaseSession, session: Session) -> list[tuple[str, str]]:
    """Give the entries that a stored mix has in the form."""
    entries = []
    for used in shelf_rows.mix_of(rows, session.id or 0):
        bottle = "" if used.bottle_id is None else f"-{used.bottle_id}"
        entries += [
            ("pigments", f"{used.pigment_id}{bottle}"),
            ("parts", "" if used.parts is None else f"{used.parts:g}"),
        ]
    return entries


def lines_of(form: Form) -> list[Line]:
    """Give the lines that the form shows: those entered, and empty ones to go on."""
    values, parts = form.all("pigments"), form.all("parts")
    entered = max(
        [i + 1 for i, v in enumerate(values) if v] + [i + 1 for i, p in enumerate(parts) if p.strip()], default=0
    )
    shown = len(values) + 2 if form["more"] else max(len(values), _LINES)
    count = min(max(shown, entered, _LINES), max(_LINES_AT_MOST, entered))
    return [Line(i + 1, values[i] if i < len(values) else "", parts[i] if i < len(parts) else "") for i in range(count)]


def read_mix(rows: DatabaseSession, form: Form, kind: str) -> list[Part]:
    """Read the mix; what is wrong is named beside its line."""
    shelf = {p.id: p for p in rows.exec(select(Pigment))}
    bottles = {b.id: b for own in shelf_rows.bottles_of(rows).values() for b in own}
    mix: list[Part] = []
    for line in lines_of(form):
        parts = _number(form, line)
        if not line.value:
            if line.parts.strip():
                form.errors[f"pigments_{line.number}"] = "Parts are entered, but no pigment: choose it, or empty both."
            continue
        key, _, bottle = line.value.partition("-")
        pigment = shelf.get(_key(key))
        if pigment is None or (bottle and getattr(bottles.get(_key(bottle)), "pigment_id", None) != pigment.id):
            form.errors["pigments"] = "One of these is no longer on the shelf. Choose again."
        elif any(part.pigment.id == pigment.id for part in mix):
            form.errors[f"pigments_{line.number}"] = (
                f"{pigment.name} is named twice: keep one line, with all its parts."
            )
        else:
            mix.append(Part(pigment, _key(bottle) if bottle else None, parts))
    return mix + _new_pigment(rows, form, kind, mix)


def _new_pigment(rows: DatabaseSession, form: Form, kind: str, mix: Sequence[Part]) -> list[Part]:
    name = form.text("new_pigment", longest=120)
    parts = form.number("new_pigment_parts", 0.01, _PARTS_AT_MOST) if form["new_pigment_parts"].strip() else None
    if not name:
        if kind in ADDS_PIGMENT and kind != EARLIER_WORK and not mix and not _names_a_line(form):
            form.errors["pigments"] = "Choose the pigment that was used, or add it below; “unknown” is a family too."
        return []
    family = form.choice("new_pigment_family", FAMILIES)
    same = queries.pigment_called(rows, name)
    if same is None:
        return [Part(Pigment(name=name, family=family), None, parts)]
    return [] if any(part.pigment.id == same.id for part in mix) else [Part(same, None, parts)]


def _names_a_line(form: Form) -> bool:
    return any(name.startswith("pigments_") for name in form.errors)


def keep_mix(rows: DatabaseSession, session: Session, mix: Sequence[Part]) -> None:
    """Store a mix in place of the earlier one."""
    rows.add_all(part.pigment for part in mix if part.pigment.id is None)
    for row in shelf_rows.mix_of(rows, session.id or 0):
        rows.delete(row)
    rows.flush()
    for part in mix:
        rows.add(
            SessionPigment(
                session_id=session.id or 0,
                pigment_id=part.pigment.id or 0,
                bottle_id=part.bottle_id,
                parts=part.parts,
            )
        )


def _number(form: Form, line: Line) -> float | None:
    if not line.parts.strip():
        return None
    one = Form({"parts": line.parts})
    value = one.number("parts", 0.01, _PARTS_AT_MOST)
    if not one.sound:
        form.errors[f"parts_{line.number}"] = one.errors["parts"]
    return value if math.isfinite(value) else None


def _key(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else 0
