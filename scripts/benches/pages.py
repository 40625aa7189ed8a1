"""How long each page takes the server in a large invented studio, against the time of its SQL alone."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import numpy as np
from fastapi.testclient import TestClient
from simulation.big_studio import BigStudio, fill_studio
from sqlalchemy import Engine, event

from webapp.app import make_app
from webapp.pages.judged_works import judge_ahead
from webapp.settings import Settings

ADDRESS = "http://127.0.0.1:4950"
RUNS = 7
PAGES = {
    "today": "/",
    "due": "/due",
    "clients": "/clients",
    "clients, page 20": "/clients?page=20",
    "search": "/clients?q=a",
    "search as one types": "/clients/found?q=1",
    "client": "/clients/1",
    "history": "/clients/1/history",
    "skin": "/clients/1/skin",
    "client's sheet": "/clients/1/sheet",
    "work": "/works/1",
    "work's chart": "/works/1/cycles/1/difference.svg",
    "correction": "/works/1/correction",
    "choose pigment": "/clients/1/choose",
    "new session": "/works/1/sessions/new",
    "families": "/families",
    "pigments": "/pigments",
    "cards": "/cards",
    "take out": "/take-out",
}


class Sql:
    """The time that statements take, summed up between two resets."""

    def __init__(self, engine: Engine) -> None:
        self.seconds, self._start = 0.0, 0.0
        event.listen(engine, "before_cursor_execute", self._before)
        event.listen(engine, "after_cursor_execute", self._after)

    def _before(self, *_: object) -> None:
        self._start = time.perf_counter()

    def _after(self, *_: object) -> None:
        self.seconds += time.perf_counter() - self._start


def print_table(clients: int = 2000) -> None:
    with tempfile.TemporaryDirectory() as folder:
        app = make_app(Settings(folder=Path(folder)))
        fill_studio(app.state.engine, BigStudio(clients=clients, photos=round(12.5 * clients)))
        start = time.perf_counter()
        judge_ahead(app.state.engine, lambda: app.state.settings)
        print(f"{clients} clients; every work judged anew in {time.perf_counter() - start:.0f} s")
        print(f"{'page':>20} {'ms':>6} {'SQL ms':>7} {'ratio':>6}")
        sql = Sql(app.state.engine)
        browser = TestClient(app, ADDRESS, headers={"Origin": ADDRESS})
        for name, path in PAGES.items():
            _print_page(browser, sql, name, path)
        app.state.engine.dispose()


def _print_page(browser: TestClient, sql: Sql, name: str, path: str) -> None:
    status = browser.get(path).status_code
    if status != 200:
        print(f"{name:>20} answers {status}")
        return
    took, of_sql = [], []
    for _ in range(RUNS):
        sql.seconds = 0.0
        start = time.perf_counter()
        browser.get(path)
        took.append(time.perf_counter() - start)
        of_sql.append(sql.seconds)
    whole, queries = 1000 * float(np.median(took)), 1000 * float(np.median(of_sql))
    print(f"{name:>20} {whole:6.0f} {queries:7.1f} {whole / max(queries, 1e-3):6.1f}", flush=True)
