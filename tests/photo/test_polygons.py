from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.properties import numbers, steady
from webapp.colorimetry.encodings import Floats
from webapp.photo.pixels import Box
from webapp.photo.polygon import MarkUnusable, area, bounding_box, check_polygon, crosses_itself, inside, shrink

SQUARE = np.array([[10.0, 10], [30, 10], [30, 30], [10, 30]])
seeds = st.integers(0, 10_000)


def meet(a: Floats, b: Floats, c: Floats, d: Floats) -> bool:
    """Whether two sides meet: where a + s·(b − a) = c + t·(d − c)."""
    s, t = np.linalg.solve(np.column_stack([b - a, c - d]), c - a)
    return bool(0 < s < 1 and 0 < t < 1)


def star(seed: int, points: int) -> Floats:
    """A polygon that never crosses itself: seen from the middle, its corners follow each other."""
    rng = np.random.default_rng(seed)
    angles = 2 * np.pi * (np.arange(points) + rng.uniform(-0.2, 0.2, points)) / points
    return 20 + rng.uniform(3, 18, points)[:, None] * np.column_stack([np.cos(angles), np.sin(angles)])


@given(seed=seeds, points=st.integers(3, 9))
@steady
def test_crossing_is_what_every_pair_of_sides_says(seed: int, points: int) -> None:
    corners = np.random.default_rng(seed).uniform(0, 100, (points, 2))
    sides = [(corners[i], corners[(i + 1) % points]) for i in range(points)]
    apart = [(i, j) for i, j in combinations(range(points), 2) if j - i not in (1, points - 1)]
    assert crosses_itself(corners) == any(meet(*sides[i], *sides[j]) for i, j in apart)


@given(seed=seeds, points=st.integers(3, 12))
@steady
def test_a_star_does_not_cross_itself_wherever_its_list_begins(seed: int, points: int) -> None:
    for turned in (np.roll(star(seed, points), k, axis=0) for k in range(points)):
        assert not crosses_itself(turned)
        assert not crosses_itself(turned[::-1])


def test_a_bow_tie_crosses_itself() -> None:
    assert crosses_itself(SQUARE[[0, 2, 1, 3]])


def test_a_line_that_runs_exactly_through_a_corner_crosses_too() -> None:
    assert crosses_itself(np.array([[0.0, 0], [2, 2], [4, 4], [4, 0], [0, 4]]))


def test_a_point_set_twice_crosses_nothing() -> None:
    assert not crosses_itself(SQUARE[[0, 1, 1, 2, 3]])
    assert not crosses_itself(SQUARE[[0, 1, 2, 3, 3]])


def rays(corners: Floats, x: float, y: float) -> bool:
    """Whether a ray to the right crosses the line an odd number of times."""
    crossings = 0
    for (x1, y1), (x2, y2) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            crossings += 1
    return crossings % 2 == 1


@given(seed=seeds, points=st.integers(3, 10), left=st.integers(-3, 12), top=st.integers(-3, 12))
@steady
def test_a_pixel_is_inside_where_its_centre_is(seed: int, points: int, left: int, top: int) -> None:
    corners, box = star(seed, points), Box(left, top, left + 25, top + 18)
    mask = inside(corners, box)
    expected = [[rays(corners, left + c + 0.5, top + r + 0.5) for c in range(25)] for r in range(18)]
    np.testing.assert_array_equal(mask, expected)


def test_a_square_on_pixel_borders_holds_exactly_its_pixels() -> None:
    mask = inside(SQUARE, Box(0, 0, 40, 40))
    assert mask.sum() == 400
    assert mask[10, 10]
    assert mask[29, 29]
    assert not mask[30, 29]


@given(seed=seeds, points=st.integers(3, 12), across=numbers(-50, 50), down=numbers(-50, 50))
@steady
def test_area_keeps_when_moved_and_turns_its_sign_when_run_backwards(
    seed: int, points: int, across: float, down: float
) -> None:
    corners = star(seed, points)
    assert area(corners + np.array([across, down])) == pytest.approx(area(corners), abs=1e-6)
    assert area(corners[::-1]) == pytest.approx(-area(corners))
    assert abs(area(SQUARE)) == 400


def test_a_shrunk_box_keeps_its_middle_and_loses_the_share() -> None:
    smaller = shrink(SQUARE, 0.2)
    np.testing.assert_allclose(smaller.mean(axis=0), SQUARE.mean(axis=0))
    assert abs(area(smaller)) == pytest.approx(400 * 0.64)


def test_a_bounding_box_stays_in_the_photo() -> None:
    assert bounding_box(SQUARE + 0.4, 2, 100, 100) == Box(8, 8, 33, 33)
    assert bounding_box(SQUARE, 50, 35, 32) == Box(0, 0, 35, 32)


@pytest.mark.parametrize(
    ("points", "says"),
    [
        (np.array([1.0, 2.0]), "not a list of points"),
        (np.array([[0, 0], [10, np.nan], [5, 5.0]]), "not a list of points"),
        (SQUARE[:2], "has 2 points and needs at least 3"),
        (SQUARE[:1], "has 1 point and"),
        (SQUARE - 20, "over the edge"),
        (SQUARE + 75, "over the edge"),
        (SQUARE[[0, 2, 1, 3]], "crosses itself"),
        (np.array([[5.0, 5], [10, 10], [20, 20]]), "encloses nothing"),
    ],
)
def test_an_outline_that_does_not_hold_is_refused_in_a_sentence(points: Floats, says: str) -> None:
    with pytest.raises(MarkUnusable, match=f"^The outline .*{says}"):
        check_polygon(points, 100, 100, "outline", 3)


def test_an_outline_that_holds_passes() -> None:
    check_polygon(SQUARE, 100, 100, "outline", 3)
    check_polygon(np.array([[0.0, 0], [100, 0], [100, 100], [0, 100]]), 100, 100, "outline", 3)
