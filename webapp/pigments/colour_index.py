"""The Colour Index numbers that occur in cosmetic tattooing, and what a number by itself says."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

Kind = Literal["inorganic", "carbon", "organic", "titanium dioxide"]
Restriction = Literal["", "restricted", "may be restricted"]
_RESTRICTIONS: tuple[Restriction, ...] = ("", "restricted", "may be restricted")
FROM_MEMORY = "memory"
_CARBON, _TITANIUM = "carbon black", "titanium dioxide"
INORGANIC_FROM = 77000
"""In the Colour Index, numbers from here up are inorganic; below, organic."""
STRUCTURES: tuple[tuple[int, str], ...] = (
    (10000, "nitroso"),
    (10300, "nitro"),
    (11000, "monoazo"),
    (20000, "disazo"),
    (30000, "polyazo"),
    (40000, "stilbene, carotenoid or diphenylmethane"),
    (42000, "triarylmethane"),
    (45000, "xanthene"),
    (46000, "acridine"),
    (47000, "quinoline"),
    (48000, "methine, thiazole or azine"),
    (51000, "oxazine"),
    (52000, "thiazine or sulfur"),
    (55000, "lactone, aminoketone or hydroxyketone"),
    (58000, "anthraquinone"),
    (73000, "indigoid"),
    (74000, "phthalocyanine"),
    (75000, "natural organic"),
    (76000, "oxidation base"),
    (INORGANIC_FROM, "inorganic"),
)
"""The first number of each chemical structure in the Colour Index. From memory, to be confirmed."""


@dataclass(frozen=True)
class Colourant:
    """One line of the table. `generic` is the Colour Index name; sources are "memory" where none is known."""

    number: str
    generic: str
    name: str
    structure: str
    colour: str
    cas: tuple[str, ...]
    restriction: Restriction
    note: str
    source: str
    restriction_source: str

    @property
    def kind(self) -> Kind:
        """What it counts as for a pigment's family."""
        if self.structure == _CARBON:
            return "carbon"
        if self.structure == _TITANIUM:
            return "titanium dioxide"
        return "inorganic" if int(self.number) >= INORGANIC_FROM else "organic"

    @property
    def caution(self) -> str:
        """A sentence on what the EU restricts, "" where the table knows of nothing."""
        if not self.restriction:
            return ""
        called = f"CI {self.number} ({self.generic or self.name})"
        if self.restriction == "restricted":
            return (
                f"{called} is restricted in the EU in mixtures for tattooing (REACH annex XVII, entry 75). "
                "Local law decides whether and how it may be used; ask the maker where in doubt."
            )
        return (
            f"{called} may be restricted in the EU in mixtures for tattooing (REACH annex XVII, entry 75; from memory, "
            "to be confirmed). Local law decides; ask the maker where in doubt."
        )


def read_table(name: str) -> list[dict[str, str]]:
    """Give the lines of a table that lies in this room, as texts by column."""
    return list(csv.DictReader((files(__package__) / name).read_text(encoding="utf-8").splitlines()))


@cache
def colourants() -> Mapping[str, Colourant]:
    """Give the built-in table by number."""
    return {
        line["number"]: Colourant(
            number=line["number"],
            generic=line["generic"],
            name=line["name"],
            structure=line["class"],
            colour=line["colour"],
            cas=tuple(line["cas"].split()),
            restriction=_restriction(line["eu"]),
            note=line["note"],
            source=line["source"],
            restriction_source=line["eu_source"],
        )
        for line in read_table("colour_index.csv")
    }


def _restriction(word: str) -> Restriction:
    return next(known for known in _RESTRICTIONS if known == word)


def colourant(number: str) -> Colourant | None:
    """Give the line of a number as it may be printed, such as 77491 or 15850:1; None where the table has none."""
    return colourants().get(number.partition(":")[0])


def structure_of(number: str) -> str:
    """Give the chemical structure that a number by itself stands for, "" outside the Colour Index."""
    value = int(number.partition(":")[0] or 0)
    found = [name for first, name in STRUCTURES if first <= value]
    return found[-1] if found and value < 78000 else ""


def kind_of(number: str) -> Kind:
    """Give what a number counts as for the family: by the table, else by where the number lies."""
    line = colourant(number)
    if line is not None:
        return line.kind
    return "inorganic" if int(number.partition(":")[0]) >= INORGANIC_FROM else "organic"


@cache
def _by_cas() -> Mapping[str, Colourant]:
    return {cas: line for line in colourants().values() for cas in line.cas}


@cache
def _by_generic() -> Mapping[str, Colourant]:
    return {line.generic.casefold(): line for line in colourants().values() if line.generic}


def with_cas(cas: str) -> Colourant | None:
    """Give the line with a CAS number."""
    return _by_cas().get(cas)


def with_generic_name(name: str) -> Colourant | None:
    """Give the line with a Colour Index name such as Pigment Red 101 or Pigment Blue 15:3."""
    return _by_generic().get(name.partition(":")[0].strip().casefold())


def is_cas(text: str) -> bool:
    """Say whether a text is a CAS number whose check digit is right (digits weighted 1, 2, 3 … from the right)."""
    digits = text.replace("-", "")
    if not digits.isascii() or not digits.isdigit():
        return False
    return sum(i * int(d) for i, d in enumerate(reversed(digits[:-1]), 1)) % 10 == int(digits[-1])
