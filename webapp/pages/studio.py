"""What every page needs of the studio: its rows, its photo files, its settings, and the form that was sent."""

from __future__ import annotations

import errno
from collections.abc import AsyncIterator, Iterator
from typing import Annotated, TypeVar

from fastapi import Depends, HTTPException, Request
from sqlmodel import Session as DatabaseSession

from webapp.pages.form import Form
from webapp.records.database import writing
from webapp.records.photo_files import PhotoFiles
from webapp.settings import Settings

T = TypeVar("T")
_LARGEST_KEY = 2**63 - 1
"""SQLite's; a larger number is no key and cannot even be asked for."""


def _settings(request: Request) -> Settings:
    settings: Settings = request.app.state.settings
    return settings


def _photo_files(request: Request) -> PhotoFiles:
    files: PhotoFiles = request.app.state.photo_files
    return files


def _rows(request: Request) -> Iterator[DatabaseSession]:
    engine = request.app.state.engine
    with DatabaseSession(engine if request.method == "GET" else writing(engine)) as rows:
        yield rows


async def _form(request: Request) -> AsyncIterator[Form]:
    try:
        form = Form(await request.form(max_files=1, max_part_size=2_000_000))
    except (OSError, UnicodeError) as error:  # a file is put down in a temporary one while it comes in
        full = isinstance(error, OSError) and error.errno == errno.ENOSPC
        raise HTTPException(507 if full else 400) from error
    request.state.form = form
    try:
        yield form
    finally:
        await request.close()


StudioSettings = Annotated[Settings, Depends(_settings)]
Photos = Annotated[PhotoFiles, Depends(_photo_files)]
Rows = Annotated[DatabaseSession, Depends(_rows)]
SentForm = Annotated[Form, Depends(_form)]


def found(rows: DatabaseSession, table: type[T], key: int) -> T:
    """Give a row, or answer that there is no such page."""
    row = rows.get(table, key) if 0 < key <= _LARGEST_KEY else None
    if row is None:
        raise HTTPException(404)
    return row
