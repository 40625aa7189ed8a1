"""Every chart is well-formed SVG with as many marks as there is data, in both widths, and nothing that could run."""

import re
from collections.abc import Callable
from xml.etree import ElementTree

import pytest

from webapp.charts.ab_plane import PlanePoint, arrow_chart, path_chart
from webapp.charts.drift_paths import MOST_LINES, GroupPaths, drift_paths_chart
from webapp.charts.forest import ForestRow, forest_chart
from webapp.charts.over_time import delta_e_chart, hue_chart, lightness_chart, warmth_chart
from webapp.charts.style import PAPER, ChartPoint, Width

SVG = "{http://www.w3.org/2000/svg}"
STATES = ("healing", "healed", "healed", "set aside", "healed")
COLOURS = ("#a1785f", "#6b4a3a", "#6d4c3b", "#704f3d", "#735240")
POINTS = [
    ChartPoint(m, v, 0.8, s, c, f"photo {m}")
    for m, v, s, c in zip((0.4, 1.5, 5, 8, 13), (4.0, 0.0, -1.5, 3.0, 5.5), STATES, COLOURS, strict=True)
]
PLANE = [
    PlanePoint(6 + i, 9 - i, s, c, "baseline" if i == 1 else "")
    for i, (s, c) in enumerate(zip(STATES, COLOURS, strict=True))
]
INF = float("inf")
RATES = [
    ForestRow("carbon/organic", "7 clients", -1.2, (-2.0, -0.4), False, -1.0, (-2.1, 0.1)),
    ForestRow("hybrid", "1 client", 0.3, None, True),
    ForestRow("inorganic", "9 clients", 1.5, (0.2, 2.8), False, 1.4, (0.1, 2.7)),
]
HALVES = [
    ForestRow("hybrid", "9 clients", 30.0, (20.0, INF), False),
    ForestRow("inorganic", "2 clients", INF, None, True),
]
PATHS = [
    GroupPaths("carbon/organic", [(-1.0, 14.0), (-0.2, 9.0)], -0.6, (-1.4, 0.2), False),
    GroupPaths("hybrid", [(0.5, 20.0)], 0.5, None, True),
]
FADED = [(1.5, 0.0), (5.0, 0.6), (13.0, 1.9)]
CHARTS: dict[str, tuple[Callable[[Width], str], int]] = {
    "difference": (lambda w: delta_e_chart(POINTS, 2.2, w), 5),
    "lightness": (lambda w: lightness_chart(POINTS, 1.9, w), 5),
    "warmth": (lambda w: warmth_chart(POINTS, FADED, 2.0, w), 5),
    "hue": (lambda w: hue_chart(POINTS, 4.0, w), 5),
    "path": (lambda w: path_chart(PLANE, 2.0, w), 6),
    "arrow": (lambda w: arrow_chart(PLANE[1], PLANE[4], 1.5, w), 3),
    "groups": (lambda w: forest_chart(RATES, "warmth a year", w), 5),
    "half-lives": (lambda w: forest_chart(HALVES, "months until half is gone", w, from_zero=True), 1),
    "drift": (lambda w: drift_paths_chart(PATHS, "warmth", w), 0),
}
"""How each is drawn, and how many point marks it holds; those in the plane have the disc of noise as one more."""
every_chart = pytest.mark.parametrize("name", CHARTS)
widths = pytest.mark.parametrize("width", ["narrow", "wide"])


def drawn(name: str, width: Width = "wide") -> ElementTree.Element:
    return ElementTree.fromstring(CHARTS[name][0](width))


def points(root: ElementTree.Element) -> list[ElementTree.Element]:
    """The symbols: paths in the groups that the renderer marks as symbols."""
    groups = [g for g in root.iter(f"{SVG}g") if "mark-symbol" in g.get("class", "")]
    return [path for g in groups for path in g.iter(f"{SVG}path")]


@every_chart
@widths
def test_a_chart_is_a_picture_with_all_its_points(name: str, width: Width) -> None:
    root = drawn(name, width)
    assert root.tag == f"{SVG}svg"
    assert len(points(root)) == CHARTS[name][1]


@every_chart
def test_nothing_in_a_chart_can_run_or_be_fetched(name: str) -> None:
    root = drawn(name)
    for element in root.iter():
        assert element.tag.removeprefix(SVG) not in ("script", "foreignObject", "image", "use", "a", "style")
        assert not any(key.lower().startswith("on") or key.endswith("href") for key in element.attrib)
    assert not re.search(r"url\((?!['\"]?#)", ElementTree.tostring(root, "unicode"))


@every_chart
def test_a_chart_lies_on_neutral_paper_and_fits_its_width(name: str) -> None:
    narrow, wide = drawn(name, "narrow"), drawn(name, "wide")
    assert PAPER in ElementTree.tostring(wide, "unicode")
    red, green, blue = (PAPER[i : i + 2] for i in (1, 3, 5))
    assert red == green == blue
    assert float(narrow.get("width", "0")) <= 390, "a phone's width"
    assert float(narrow.get("width", "0")) <= float(wide.get("width", "0"))


@every_chart
def test_a_chart_says_what_its_axes_are(name: str) -> None:
    words = " ".join("".join(t.itertext()) for t in drawn(name).iter(f"{SVG}text"))
    expected = {
        "difference": ["ΔE00", "months since the session"],
        "lightness": ["lighter", "deeper", "L*"],
        "warmth": ["warmer", "cooler"],
        "hue": ["yellower", "redder"],
        "path": ["a*", "b*", "baseline"],
        "arrow": ["a*", "b*", "baseline"],
        "groups": ["warmth a year", "carbon/organic  (7 clients)", "hybrid", "inorganic"],
        "half-lives": ["months until half is gone", "hybrid", "inorganic", "▸"],
        "drift": ["warmth", "carbon/organic", "hybrid", "months since the baseline"],
    }[name]
    assert all(word in words for word in expected), words


def fills(name: str) -> list[str]:
    return [p.get("fill", "") for p in points(drawn(name))]


@pytest.mark.parametrize("name", ["difference", "lightness", "warmth", "hue", "path"])
def test_healed_photos_show_their_colour_and_others_are_hollow(name: str) -> None:
    drawn_fills = fills(name)
    assert {COLOURS[1], COLOURS[2], COLOURS[4]} <= set(drawn_fills)
    assert not {COLOURS[0], COLOURS[3]} & set(drawn_fills)
    assert sum(f not in COLOURS and f not in ("#c2c2c2",) for f in drawn_fills) == 2


def test_a_photo_that_was_set_aside_has_another_shape() -> None:
    shapes = [p.get("d", "") for p in points(drawn("lightness"))]
    curved = [("A" in d or "a" in d or "C" in d) for d in shapes]
    assert sorted(curved) == [False, True, True, True, True]


def test_a_group_of_few_clients_is_hollow_and_an_adjusted_value_has_another_shape() -> None:
    assert [f == "#1c1c1c" for f in fills("groups")].count(True) == 2
    shapes = {p.get("d", "") for p in points(drawn("groups"))}
    assert len(shapes) == 2


def test_every_client_is_a_line_up_to_as_many_as_can_be_seen() -> None:
    def lines(clients: int) -> int:
        paths = GroupPaths("hybrid", [(0.1 * i, 12.0) for i in range(clients)], 0.5, (0.1, 0.9), False)
        root = ElementTree.fromstring(drift_paths_chart([paths], "warmth", "wide"))
        groups = [g for g in root.iter(f"{SVG}g") if "mark-line" in g.get("class", "")]
        return sum(1 for g in groups for _ in g.iter(f"{SVG}path"))

    assert lines(7) == 7 + 1
    assert lines(300) == MOST_LINES + 1


def test_fading_is_drawn_as_a_dashed_line() -> None:
    assert "stroke-dasharray" in CHARTS["warmth"][0]("wide")
    assert "stroke-dasharray" not in warmth_chart(POINTS, [], 2.0, "wide")


@pytest.mark.parametrize("chart", [delta_e_chart, lightness_chart, hue_chart])
def test_one_photo_alone_can_be_drawn(chart: Callable[..., str]) -> None:
    root = ElementTree.fromstring(chart([ChartPoint(1.2, 0.0, 0.0, "healed", "#6b4a3a", "")], 0.0, "narrow"))
    assert len(points(root)) == 1


def test_a_way_that_leads_nowhere_can_be_drawn() -> None:
    still = [PlanePoint(5, 5, "healed", "#6b4a3a", "here")] * 3
    assert len(points(ElementTree.fromstring(path_chart(still, 0.0, "narrow")))) == 4
    ElementTree.fromstring(arrow_chart(still[0], still[1], 0.0, "narrow"))


def test_words_that_look_like_markup_stay_words() -> None:
    evil = '<script>alert(1)</script> & "x"'
    root = ElementTree.fromstring(path_chart([PlanePoint(5, 5, "healed", "#6b4a3a", evil)], 1.0, "wide"))
    assert not list(root.iter(f"{SVG}script"))
    assert any("alert(1)" in "".join(t.itertext()) for t in root.iter(f"{SVG}text"))
    for named in (
        forest_chart([ForestRow(evil, "1 client", 1.0, None, False)], "rate", "wide"),
        drift_paths_chart([GroupPaths(evil, [(1.0, 5.0)], 1.0, None, False)], "rate", "wide"),
    ):
        assert not list(ElementTree.fromstring(named).iter(f"{SVG}script"))
