"""Bringing a whole studio in again: its rows, and its photos where the ZIP holds them."""

from __future__ import annotations

import hashlib
import io
import json
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from typing import IO, Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from sqlalchemy import Engine
from starlette.datastructures import UploadFile

from webapp.pages.studio import Photos, Rows, SentForm
from webapp.pages.taking_out import show_page
from webapp.records.database import writing
from webapp.records.photo_files import DiskFull, PhotoFiles
from webapp.records.studio_file import StudioFileUnusable, read_studio

router = APIRouter()
_LARGEST_ROWS = 400_000_000
_LARGEST_PHOTO = 200_000_000
"""Bytes once unpacked; a file that claims more was not written by the almanac."""
_PHOTO = re.compile(r"photos/([0-9a-f]{64})\.[a-z]{3,4}")


@dataclass(frozen=True)
class BroughtIn:
    """What was taken in: rows by table, photos, and how many photos the rows name that the file did not hold."""

    rows: dict[str, int]
    photos: int
    missing: int


@router.post("/bring-in")
def bring_in_by_form(request: Request, rows: Rows, files: Photos, form: SentForm) -> HTMLResponse:
    """Take a written studio into an empty one."""
    sent = form.entries.get("studio")
    rows.rollback()  # what follows has a transaction of its own
    if not isinstance(sent, UploadFile) or not sent.filename:
        form.errors["studio"] = "Choose the studio.json or the ZIP that the almanac wrote."
        return show_page(request, rows, form, 422)
    try:
        done = bring_in(request.app.state.engine, files, sent.file)
    except (StudioFileUnusable, DiskFull) as refusal:
        form.errors["studio"] = str(refusal)
        return show_page(request, rows, form, 422)
    return show_page(request, rows, form, done=done)


def bring_in(engine: Engine, files: PhotoFiles, source: IO[bytes]) -> BroughtIn:
    """Take a studio's JSON, or its ZIP with photos, into an empty studio: all of it or nothing.

    Raises StudioFileUnusable, or DiskFull, with a sentence, having kept nothing.
    """
    start = source.read(4)
    source.seek(0)
    if start == b"PK\x03\x04":
        try:
            with zipfile.ZipFile(source) as archive:
                return _bring_in(engine, files, _rows_of(archive), _photos_of(archive))
        except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError) as error:
            raise StudioFileUnusable("The ZIP is damaged or cut off. Copy it again, or write it anew.") from error
    return _bring_in(engine, files, _told(source), iter(()))


def _bring_in(engine: Engine, files: PhotoFiles, told: Any, photos: Iterator[bytes]) -> BroughtIn:
    kept: list[str] = []
    try:
        with writing(engine).begin() as connection:
            counts = read_studio(connection, told)
            named = {row["sha256"] for row in told["tables"].get("photofile", [])}
            for content in photos:
                if hashlib.sha256(content).hexdigest() in named:
                    kept.append(files.keep(content))
    except BaseException:
        for digest in kept:
            files.discard(digest)
        raise
    for digest in kept:
        files.settle(digest)
    return BroughtIn(counts, len(kept), len(named) - len(set(kept)))


def _rows_of(archive: zipfile.ZipFile) -> Any:
    if "studio.json" not in archive.namelist():
        raise StudioFileUnusable(
            "There is no studio.json in this ZIP. Choose the one that was taken out as the whole studio; tables and "
            "single clients cannot be brought in."
        )
    return _told(io.BytesIO(_content(archive, archive.getinfo("studio.json"), _LARGEST_ROWS)))


def _photos_of(archive: zipfile.ZipFile) -> Iterator[bytes]:
    for info in archive.infolist():
        if _PHOTO.fullmatch(info.filename):
            yield _content(archive, info, _LARGEST_PHOTO)


def _content(archive: zipfile.ZipFile, info: zipfile.ZipInfo, largest: int) -> bytes:
    with archive.open(info) as member:
        content = member.read(largest + 1)
    if len(content) > largest:
        raise StudioFileUnusable("A file in this ZIP is larger than any that the almanac writes. Nothing was taken in.")
    return content


def _told(source: IO[bytes]) -> Any:
    try:
        return json.loads(source.read(_LARGEST_ROWS).decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        raise StudioFileUnusable(
            "This is not a studio written by the almanac. Choose the studio.json, or the ZIP, that it wrote under "
            "Take out and bring in."
        ) from error
