"""A whole studio to a file and back, without the pages: for what is too large to send by a form."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from fastapi import FastAPI
from sqlmodel import Session as DatabaseSession

from webapp.app import make_app
from webapp.pages.bringing_in import bring_in as bring_in_from
from webapp.pages.taking_out import studio_members
from webapp.pages.zip_stream import zip_stream
from webapp.records.database import StudioUnusable
from webapp.records.lock import only_one
from webapp.settings import Settings, default_folder


def take_out(file: Path, folder: Path | None) -> None:
    """Write a studio's rows and photos to a ZIP. Raises StudioUnusable, leaving no half file, where that fails."""
    part = file.with_name(f"{file.name}.part")
    with _studio(folder or default_folder(demo=False), must_exist=True) as app:
        try:
            with DatabaseSession(app.state.engine) as rows, part.open("wb") as out:
                out.writelines(zip_stream(studio_members(rows, app.state.photo_files)))
            part.replace(file)
        except OSError as error:
            part.unlink(missing_ok=True)
            raise StudioUnusable(f"{file.name} cannot be written: {error.strerror or error}.") from error


def bring_in(file: Path, folder: Path | None) -> dict[str, int]:
    """Take a written studio into an empty folder; give the number of rows by table, and of photos."""
    try:
        source = file.open("rb")
    except OSError as error:
        raise StudioUnusable(f"{file.name} cannot be read: {error.strerror or error}.") from error
    with source, _studio(folder or default_folder(demo=False)) as app:
        done = bring_in_from(app.state.engine, app.state.photo_files, source)
    return {**done.rows, "photos": done.photos, "photos missing": done.missing}


@contextmanager
def _studio(folder: Path, must_exist: bool = False) -> Iterator[FastAPI]:
    settings = Settings(folder=folder)
    if must_exist and not settings.database.exists():
        raise StudioUnusable(f"There is no studio in {folder}. Name its folder with --data.")
    folder.mkdir(parents=True, exist_ok=True)
    with only_one(folder):
        app = make_app(settings)
        try:
            yield app
        finally:
            app.state.engine.dispose()
