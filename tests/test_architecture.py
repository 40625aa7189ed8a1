"""The rooms' imports run one way: pages → charts, correction, drift, records, photo → colorimetry."""

import ast
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "webapp"
BELOW = {
    "colorimetry": set(),
    "photo": {"colorimetry"},
    "drift": {"colorimetry"},
    "correction": {"colorimetry"},
    "charts": {"colorimetry"},
    "records": {"colorimetry"},
    "pigments": set(),
}
"""What each room may lean on beside itself. Siblings are not among it."""
JOINS = {
    "pages",
    "app",
    "serve",
    "demo",
    "demo_people",
    "demo_shelf",
    "settings",
    "measurement_json",
    "moving",
    "__main__",
    "__init__",
}
"""Who may hold rooms together."""
OUTSIDE = {
    "colorimetry": {"numpy", "scipy"},
    "drift": {"numpy", "scipy"},
    "correction": {"numpy", "scipy"},
    "pigments": {"csv", "importlib", "re", "unicodedata", "calendar"},
}
"""Rooms of mere numbers: no file, no table, no screen, and nothing from outside that could bring one."""
LONGEST = 350
STANDARD = {"__future__", "collections", "dataclasses", "datetime", "enum", "functools", "itertools", "math", "typing"}

MODULES = sorted(PACKAGE.rglob("*.py"))
every_module = pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))


def room_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported(source: str, inside: Sequence[str] = ()) -> Iterator[str]:
    """Give the dotted names that a module's source imports, wherever in it; `inside` is where it lies."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = inside[: len(inside) - node.level + 1] if node.level else ()
            base = ".".join([*above, *([node.module] if node.module else [])])
            yield from (base, *(f"{base}.{alias.name}" for alias in node.names))


def names_imported(path: Path) -> list[str]:
    return list(imported(path.read_text(encoding="utf-8"), path.relative_to(ROOT).parent.parts))


def rooms_imported(path: Path) -> set[str]:
    rooms = {name.split(".")[1] for name in names_imported(path) if name.startswith("webapp.")}
    return {room for room in rooms if (PACKAGE / room).is_dir() or (PACKAGE / f"{room}.py").is_file()}


def test_every_part_is_a_room_or_joins_rooms() -> None:
    assert {room_of(path) for path in MODULES} <= BELOW.keys() | JOINS
    assert len(MODULES) > 30


@every_module
def test_imports_run_one_way(path: Path) -> None:
    room = room_of(path)
    if room not in JOINS:
        assert rooms_imported(path) <= {room} | BELOW[room]


@every_module
def test_rooms_of_numbers_know_nothing_else(path: Path) -> None:
    room = room_of(path)
    if room in OUTSIDE:
        outside = {name.split(".")[0] for name in names_imported(path)} - {"webapp", ""}
        assert outside <= OUTSIDE[room] | STANDARD


@every_module
def test_a_module_says_what_it_is(path: Path) -> None:
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))), "no docstring"


@pytest.mark.parametrize(
    "path",
    sorted(
        p for folder in ("webapp", "static") for p in (ROOT / folder).rglob("*") if p.suffix in (".py", ".js", ".css")
    ),
    ids=lambda p: str(p.relative_to(ROOT)),
)
def test_files_stay_small(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST


@pytest.mark.parametrize(
    ("source", "name"),
    [
        ("import webapp.records.tables", "webapp.records.tables"),
        ("from webapp import records", "webapp.records"),
        ("from webapp.records.tables import Work", "webapp.records.tables"),
        ("from ..records import tables", "webapp.records.tables"),
        ("from .read import Photo", "webapp.photo.read"),
        ("def later():\n    from webapp.records import tables", "webapp.records"),
        ("if TYPE_CHECKING:\n    from webapp.records import tables", "webapp.records"),
    ],
)
def test_the_check_itself_sees_every_way_to_import(source: str, name: str) -> None:
    assert name in imported(source, ("webapp", "photo"))
