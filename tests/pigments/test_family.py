from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.properties import steady
from webapp.pigments.colour_index import colourants
from webapp.pigments.constituent import Constituent
from webapp.pigments.family import derive_family
from webapp.pigments.label import read_label


@pytest.mark.parametrize(
    ("label", "family"),
    [
        ("CI 77491, CI 77492, CI 77499", "inorganic"),
        ("CI 77266", "carbon/organic"),
        ("CI 74160", "carbon/organic"),
        ("CI 77266, CI 12475", "carbon/organic"),
        ("CI 77491, CI 77266", "hybrid"),
        ("CI 77491, CI 12475", "hybrid"),
        ("CI 77891", "unknown"),
        ("CI 77891, CI 77491", "inorganic"),
        ("CI 77891, CI 77266", "carbon/organic"),
        ("aqua, glycerin", "unknown"),
        ("iron oxides, aqua", "inorganic"),
        ("", "unknown"),
        ("CI 77999", "inorganic"),
        ("CI 12345", "carbon/organic"),
    ],
)
def test_the_family_follows_the_constituents(label: str, family: str) -> None:
    """DESIGN.md section 5."""
    assert derive_family(read_label(label).constituents).family == family


def test_titanium_dioxide_is_noted() -> None:
    assert "Titanium dioxide is in it" in " ".join(derive_family(read_label("CI 77491, CI 77891").constituents).because)


def test_what_may_be_contained_does_not_count_and_is_named() -> None:
    derived = derive_family(read_label("CI 77491 [+/- CI 77266]").constituents)
    assert (derived.family, derived.sure) == ("inorganic", False)
    assert "it would be hybrid" in " ".join(derived.because)


def test_an_open_question_leaves_it_unsure() -> None:
    derived = derive_family(read_label("CI 77491, quibble").constituents)
    assert (derived.family, derived.sure) == ("inorganic", False)
    assert "one constituent is not understood" in " ".join(derived.because)


some = st.lists(st.sampled_from(sorted(colourants())).map(lambda n: Constituent(f"CI {n}", "colourant", n)), max_size=6)


@steady
@given(some, st.randoms())
def test_order_and_titanium_dioxide_change_nothing(constituents, random) -> None:
    family = derive_family(constituents).family
    mixed = [*constituents, Constituent("CI 77891", "colourant", "77891"), Constituent("aqua", "carrier")]
    random.shuffle(mixed)
    assert derive_family(mixed).family == family


@steady
@given(some, some)
def test_two_families_together_make_a_hybrid(first, second) -> None:
    families = {derive_family(first).family, derive_family(second).family} - {"unknown"}
    expected = "unknown" if not families else families.pop() if len(families) == 1 else "hybrid"
    assert derive_family([*first, *second]).family == expected


@steady
@given(some)
def test_what_is_only_possible_never_changes_the_family(constituents) -> None:
    possible = [replace(c, optional=True) for c in constituents]
    assert derive_family(possible).family == "unknown"
