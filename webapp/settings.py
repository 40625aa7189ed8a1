"""Where data lives, what is allowed in, and the thresholds."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from platformdirs import user_data_path

from webapp.drift.cycles import HEALING_DAYS
from webapp.drift.thresholds import Thresholds

ROOT = Path(__file__).resolve().parent.parent
HOST = "127.0.0.1"
"""This machine alone. Nothing else is ever bound."""
PORT = 4950


@dataclass(frozen=True)
class Settings:
    """Everything that may differ from one start to the next."""

    folder: Path
    demo: bool = False
    port: int = PORT
    max_upload_bytes: int = 80_000_000
    max_pixels: int = 120_000_000
    healing_days: int = HEALING_DAYS
    thresholds: Thresholds = field(default_factory=Thresholds)

    @property
    def kind(self) -> str:
        """Which studio this is, in the word that the database keeps."""
        return "demo" if self.demo else "own"

    @property
    def database(self) -> Path:
        """The database file."""
        return self.folder / "almanac.sqlite3"

    @property
    def photos(self) -> Path:
        """The folder of stored photo files."""
        return self.folder / "photos"

    @property
    def derived(self) -> Path:
        """The folder of pictures made from them, which may be deleted at any time."""
        return self.folder / "derived"


def default_folder(demo: bool) -> Path:
    """Give the folder of this user's own or demo studio; the two lie side by side."""
    return user_data_path("healed-colour-almanac", appauthor=False) / ("demo-studio" if demo else "own-studio")
