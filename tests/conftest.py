"""Fixtures: a studio in a temporary folder, from empty to measured."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.studio import Studio, close_studio, open_studio

STAGES = ("measured", "follow_up", "work", "empty")


@pytest.fixture(scope="session")
def stages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """One studio at each stage of its way, made once by the forms; tests get copies."""
    folder = tmp_path_factory.mktemp("stages")
    steps = {
        "empty": lambda studio: None,
        "work": lambda studio: studio.ready_work(),
        "follow_up": lambda studio: studio.add_photo(1),
        "measured": lambda studio: studio.measure(1),
    }
    for name, step in steps.items():
        studio = open_studio(folder / "growing")
        step(studio)
        close_studio(studio)
        shutil.copytree(folder / "growing", folder / name)
    return {name: folder / name for name in steps}


@pytest.fixture
def studio(request: pytest.FixtureRequest, tmp_path: Path, stages: dict[str, Path]) -> Iterator[Studio]:
    """A studio: empty, or as far as the test's other fixtures ask."""
    stage = next(s for s in STAGES if s in request.fixturenames or s == "empty")
    shutil.copytree(stages[stage], tmp_path / "studio")
    opened = open_studio(tmp_path / "studio")
    yield opened
    close_studio(opened)


@pytest.fixture
def work(studio: Studio) -> int:
    """The id of a work that is ready for its first photo."""
    return 1


@pytest.fixture
def follow_up(studio: Studio) -> int:
    """The id of a follow-up whose photo is stored and not yet marked."""
    return 1


@pytest.fixture
def measured(studio: Studio) -> int:
    """The id of a follow-up that is measured and saved."""
    return 1
