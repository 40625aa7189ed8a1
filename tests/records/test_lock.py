from pathlib import Path

import pytest

from webapp.records.database import StudioUnusable
from webapp.records.lock import only_one


def test_a_folder_is_held_by_one_almanac_at_a_time(tmp_path: Path) -> None:
    with only_one(tmp_path), pytest.raises(StudioUnusable, match="already running"), only_one(tmp_path):
        pass
    with only_one(tmp_path):
        pass


def test_another_folder_is_free(tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    with only_one(tmp_path), only_one(tmp_path / "other"):
        pass
