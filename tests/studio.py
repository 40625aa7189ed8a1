"""A studio in a temporary folder, and a hand that fills in its forms."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fastapi.testclient import TestClient
from sqlmodel import Session as DatabaseSession
from sqlmodel import SQLModel, select

from tests.synthetic import BROW, CARD_BOX, draw_photo
from webapp.app import make_app
from webapp.settings import Settings

ADDRESS = "http://127.0.0.1:4950"


@dataclass
class Studio:
    """A running studio: `browser` sends as the app's own pages do, and does not follow redirections."""

    settings: Settings
    browser: TestClient

    def rows(self, table: type[SQLModel]) -> list[Any]:
        """Give all rows of a table as they are on the disk now."""
        with DatabaseSession(self.browser.app.state.engine) as rows:
            return list(rows.exec(select(table)))

    def add_client(self, alias: str = "Robin", consent: bool = True) -> int:
        """Add a client by the form; give the id."""
        entries = {"alias": alias, "skin_notes": "fair", "consent_on": "2025-01-10"}
        return self._sent("/clients/new", entries | ({"consent": "yes"} if consent else {}))

    def add_work(self, client: int, site: str = "left brow") -> int:
        """Add a work by the form; give the id."""
        return self._sent(f"/clients/{client}/works/new", {"site": site, "note": ""})

    def add_session(self, work: int, on: str = "2025-02-01", **entries: str) -> None:
        """Add a first session with a hybrid pigment by the form."""
        self._sent(f"/works/{work}/sessions/new", SESSION | {"on": on} | entries)

    def add_photo(self, work: int, on: str = "2025-04-01", content: bytes | None = None, **entries: str) -> int:
        """Send a photo by the form; give the id of the follow-up, whose marks are still missing."""
        return self._sent(
            f"/works/{work}/follow-ups/new",
            {"on": on, "card": "1", "note": ""} | entries,
            {"photo": ("brow.jpg", content or draw_photo())},
        )

    def measure(self, follow_up: int, **entries: str) -> None:
        """Mark a follow-up as drawn, and save what is measured."""
        answer = self.browser.post(f"/follow-ups/{follow_up}/marks", data=MARKS | {"save": "yes"} | entries)
        assert answer.status_code == 303, answer.text

    def ready_work(self, alias: str = "Robin") -> int:
        """Add a client with consent, a work and its session; give the work's id."""
        work = self.add_work(self.add_client(alias))
        self.add_session(work)
        return work

    def photo_files(self) -> list[Path]:
        """Give every file in the folder of photos, half-written ones too."""
        return sorted(p for p in self.settings.photos.rglob("*") if p.is_file())

    def pictures(self) -> list[Path]:
        """Give every picture made from photos."""
        return sorted(self.settings.derived.iterdir())

    def _sent(self, path: str, entries: dict[str, str], files: Any = None) -> int:
        answer = self.browser.post(path, data=entries, files=files)
        assert answer.status_code == 303, answer.text
        number = answer.headers["location"].removesuffix("/marks").rpartition("/")[2]
        return int(number)


SESSION = {
    "kind": "first session",
    "on": "2025-02-01",
    "artist": "Kim",
    "technique": "powder brow",
    "new_pigment": "Walnut",
    "new_pigment_family": "hybrid",
    "note": "",
}
MARKS = {
    "card": "1",
    "on": "2025-04-01",
    "note": "",
    "card_corners": json.dumps(CARD_BOX),
    "outline": json.dumps(BROW),
    "outline_from": "drawn",
    "outline_confidence": "",
}


def open_studio(folder: Path, **settings: Any) -> Studio:
    """Open a studio in a folder, as a start of the almanac does."""
    chosen = Settings(folder=folder, **settings)
    folder.mkdir(parents=True, exist_ok=True)
    headers = {"Origin": ADDRESS}
    browser = TestClient(make_app(chosen), ADDRESS, headers=headers, follow_redirects=False)
    return Studio(chosen, browser)


def close_studio(studio: Studio) -> None:
    studio.browser.app.state.engine.dispose()
