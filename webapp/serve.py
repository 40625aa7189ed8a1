"""Starts the pages on this machine alone."""

from __future__ import annotations

from pathlib import Path

import uvicorn

from webapp.app import make_app
from webapp.demo import fill_demo
from webapp.records.database import StudioUnusable
from webapp.records.lock import only_one
from webapp.settings import HOST, Settings, default_folder


def serve(port: int, folder: Path | None, demo: bool) -> int:
    """Serve a studio until interrupted; the demo is filled first where it is empty."""
    settings = Settings(folder=folder or default_folder(demo), demo=demo, port=port)
    try:
        settings.folder.mkdir(parents=True, exist_ok=True)
        with only_one(settings.folder):
            app = make_app(settings)
            if demo:
                fill_demo(app.state.engine, app.state.photo_files)
            app.state.judging.start()
            uvicorn.run(app, host=HOST, port=port, log_level="warning", server_header=False)
    except OSError as error:
        raise StudioUnusable(
            f"The folder {settings.folder} cannot hold a studio: {error.strerror or error}. Choose another with --data."
        ) from error
    return 0
