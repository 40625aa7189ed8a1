"""What every page needs of the studio: its rows, its photo files, its settings, and the form that was sent."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, TypeVar

from fastapi import Depends, HTTPException, Request
from sqlmodel import Session as DatabaseSession

from webapp.pages.form import Form
from webapp.records.photo_files import PhotoFiles
from webapp.settings import Settings

T = TypeVar("T")


def _settings(request: Request) -> Settings:
    settings: Settings = request.app.state.settings
    return settings


def _photo_files(request: Request) -> PhotoFiles:
    files: PhotoFiles = request.app.state.photo_files
    return files


def _rows(request: Request) -> Iterator[DatabaseSession]:
    with DatabaseSession(request.app.state.engine) as rows:
        yield rows


async def _form(request: Request) -> Form:
    return Form(await request.form(max_files=1, max_part_size=2_000_000))


StudioSettings = Annotated[Settings, Depends(_settings)]
Photos = Annotated[PhotoFiles, Depends(_photo_files)]
Rows = Annotated[DatabaseSession, Depends(_rows)]
SentForm = Annotated[Form, Depends(_form)]


def found(rows: DatabaseSession, table: type[T], key: int) -> T:
    """Give a row, or answer that there is no such page."""
    row = rows.get(table, key)
    if row is None:
        raise HTTPException(404)
    return row
