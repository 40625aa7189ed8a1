"""Judges beside the pages, so that no page waits until thousands of works have a verdict."""

from __future__ import annotations

from collections.abc import Callable
from threading import Event, Thread

from fastapi import Depends, Request
from sqlalchemy import Engine

from webapp.pages.judged_works import judge_ahead, number_waiting
from webapp.pages.studio import Rows, StudioSettings
from webapp.settings import Settings


class JudgingAhead:
    """One thread that judges what is missing, then sleeps until a page finds works without a verdict again.

    They come after a new version, a change of thresholds or of a pigment in many faces, an import.
    """

    def __init__(self, engine: Engine, settings: Callable[[], Settings]) -> None:
        """Take the database, and what gives the settings of the moment."""
        self._engine, self._settings = engine, settings
        self._wanted, self._over = Event(), Event()
        self._thread: Thread | None = None

    def start(self) -> None:
        """Begin with what is missing now."""
        self._thread = Thread(target=self._run, daemon=True)
        self._thread.start()

    def wake(self) -> None:
        """Tell that verdicts are missing; without effect while the thread is at it or was never started."""
        self._wanted.set()

    def stop(self) -> None:
        """End once nothing is missing any more, and wait for that."""
        self._over.set()
        self._wanted.set()
        if self._thread is not None:
            self._thread.join()

    def _run(self) -> None:
        while True:
            self._wanted.clear()
            judge_ahead(self._engine, self._settings)
            if self._over.is_set():
                return
            self._wanted.wait()


def still_judging(request: Request, rows: Rows, settings: StudioSettings) -> None:
    """Note for the page how many works its figures cannot rest on yet, and wake the thread that judges them."""
    request.state.still_judging = number_waiting(rows, settings)
    if request.state.still_judging:
        request.app.state.judging.wake()


RESTS_ON_ALL_WORKS = [Depends(still_judging)]
"""For pages whose figures rest on every work's verdict: the frame tells what is still missing."""
