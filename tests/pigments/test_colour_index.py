import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.properties import steady
from webapp.pigments.colour_index import (
    FROM_MEMORY,
    INORGANIC_FROM,
    colourant,
    colourants,
    is_cas,
    kind_of,
    read_table,
    structure_of,
    with_cas,
    with_generic_name,
)
from webapp.pigments.names import folded, named

TABLE = list(colourants().values())
every_line = pytest.mark.parametrize("line", TABLE, ids=lambda line: line.number)
RANGES = {
    "monoazo": {"monoazo"},
    "disazo": {"disazo"},
    "triarylmethane": {"triarylmethane"},
    "xanthene": {"xanthene"},
    "quinoline": {"quinoline"},
    "dioxazine": {"oxazine"},
    "diketopyrrolopyrrole": {"lactone, aminoketone or hydroxyketone"},
    "anthraquinone": {"anthraquinone"},
    "indigoid": {"indigoid"},
    "quinacridone": {"indigoid"},
    "phthalocyanine": {"phthalocyanine"},
    "natural organic": {"natural organic"},
    "iron oxide": {"inorganic"},
    "carbon black": {"inorganic"},
    "titanium dioxide": {"inorganic"},
    "chromium oxide": {"inorganic"},
    "other inorganic": {"inorganic"},
}
"""Where in the Colour Index the table's classes are numbered. From memory, to be confirmed."""


def test_numbers_and_names_are_each_given_once() -> None:
    lines = read_table("colour_index.csv")
    for column in ("number", "generic"):
        given_once = [line[column] for line in lines if line[column]]
        assert len(given_once) == len(set(given_once))
    cas = [c for line in TABLE for c in line.cas]
    assert len(cas) == len(set(cas))


@every_line
def test_class_and_number_agree(line) -> None:
    assert structure_of(line.number) in RANGES[line.structure]
    assert re.fullmatch(r"\d{5}", line.number)


@every_line
def test_cas_numbers_have_the_right_check_digit(line) -> None:
    assert all(is_cas(c) for c in line.cas)


@every_line
def test_each_line_says_where_it_is_from(line) -> None:
    assert line.source
    assert bool(line.restriction) == bool(line.restriction_source) == bool(line.caution)
    if line.restriction == "restricted":
        assert line.restriction_source != FROM_MEMORY
    if line.restriction_source == FROM_MEMORY:
        assert "from memory, to be confirmed" in line.caution
    if line.caution:
        assert "Local law" in line.caution


@every_line
def test_a_line_is_found_by_all_its_names(line) -> None:
    assert colourant(line.number) is colourant(f"{line.number}:1") is line
    assert all(with_cas(c) is line for c in line.cas)
    if line.generic:
        assert with_generic_name(line.generic.upper()) is with_generic_name(f"{line.generic}:3") is line


@pytest.mark.parametrize(
    ("number", "kind"),
    [
        ("77491", "inorganic"),
        ("77266", "carbon"),
        ("77267", "carbon"),
        ("77268:1", "carbon"),
        ("77891", "titanium dioxide"),
        ("74160", "organic"),
        ("77999", "inorganic"),
        ("12345", "organic"),
    ],
)
def test_kinds_follow_the_number(number: str, kind: str) -> None:
    """DESIGN.md section 5: from 77000 up inorganic, below organic; the carbon blacks are carbon."""
    assert kind_of(number) == kind


@steady
@given(st.integers(10_000, 99_999).map(str))
def test_every_number_has_a_kind(number: str) -> None:
    known = colourant(number)
    if known is None:
        assert kind_of(number) == ("inorganic" if int(number) >= INORGANIC_FROM else "organic")


@steady
@given(st.integers(10, 9_999_999), st.integers(0, 99), st.integers(1, 9))
def test_a_check_digit_tells_one_wrong_digit(first: int, second: int, wrong: int) -> None:
    digits = f"{first}{second:02d}"
    check = sum(i * int(d) for i, d in enumerate(reversed(digits), 1)) % 10
    assert is_cas(f"{first}-{second:02d}-{check}")
    assert not is_cas(f"{first}-{second:02d}-{(check + wrong) % 10}")


def test_the_restricted_ones_are_marked() -> None:
    """Reg. (EU) 2020/2081; exceptions ended on 4 January 2023 (Environment Administration, Luxembourg)."""
    assert {"74160", "74260"} <= {line.number for line in TABLE if line.restriction == "restricted"}


def test_no_name_stands_for_two_things() -> None:
    meanings: dict[tuple[str, ...], set[str]] = {}
    for line in read_table("constituent_names.csv"):
        assert line["role"] in ("colourant", "carrier", "preservative", "other")
        assert line["number"] in ("", *colourants())
        for name in line["names"].split("|"):
            meanings.setdefault(tuple(sorted(folded(name).split())), set()).add(line["english"])
            found = named(name)
            assert found is not None
            assert found.english == line["english"]
    assert {k: v for k, v in meanings.items() if len(v) > 1} == {}
