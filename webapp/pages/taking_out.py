"""Taking out: tables, photos, the whole studio, one client's file; and bringing a whole studio in again."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Iterator
from datetime import date
from functools import partial
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, StreamingResponse
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, func, select

from webapp.pages.form import Form
from webapp.pages.render import page
from webapp.pages.studio import Photos, Rows, found
from webapp.pages.zip_stream import Member, zip_stream
from webapp.photo.read import PhotoUnreadable
from webapp.photo.whereabouts import without_whereabouts
from webapp.records.client_rows import rows_about
from webapp.records.columns import describe_columns
from webapp.records.photo_files import PhotoFiles
from webapp.records.studio_file import kept_tables, write_studio
from webapp.records.tables import Client, FollowUp, PhotoFile, Work
from webapp.records.tables_as_csv import as_csv, tables_as_csv

router = APIRouter()
_ABOUT_STUDIO = """The Healed Colour Almanac: a whole studio

studio.json holds every row of every table: {"format": …, "schema": …, "tables": {table: [row, …]}}. Days are written
year-month-day, moments in ISO 8601 (UTC). What the columns mean stands in columns.txt. photos/ holds the photo files,
each named by its SHA-256, as the table photofile names them; place and serial numbers are taken out of them.
Bring it in again, into an empty studio, under "Take out and bring in", or with
    python -m webapp bring-in FILE --data DIR
"""
_ABOUT_CLIENT = """What this studio holds about you

Each table is a CSV file that a spreadsheet opens; what the columns mean stands in columns.txt. photos/ holds your
photos by day and site; where they were taken and the camera's serial number are not in them. Colours are measured with
a grey card and are no medical finding. Ask the studio to correct or delete what is wrong; you may withdraw any consent
at any time.
"""


@router.get("/take-out")
def show(request: Request, rows: Rows) -> HTMLResponse:
    """Show what can be taken out and brought in."""
    return show_page(request, rows, Form())


def show_page(request: Request, rows: DatabaseSession, form: Form, status: int = 200, **more: object) -> HTMLResponse:
    """Show the page, with what came of bringing something in."""
    photos, size = rows.exec(select(func.count(col(PhotoFile.id)), func.sum(PhotoFile.size))).one()
    clients = rows.exec(select(func.count(col(Client.id)))).one()
    return page(request, "take_out.html", status, form=form, photos=photos, size=size or 0, clients=clients, **more)


@router.get("/take-out/tables.zip")
def take_tables(rows: Rows, files: Photos, photos: str = "") -> StreamingResponse:
    """Give all tables as CSV with a README of the columns, and the photos where asked for."""
    members = [Member("README.txt", lambda: describe_columns().encode())]
    for name, text in tables_as_csv(rows.connection()):
        members.append(Member(name, partial(text.encode, "utf-8-sig")))
    if photos:
        members += [_photo(files, p, f"photos/{p.sha256}") for p in rows.exec(select(PhotoFile))]
    return _as_zip("almanac-tables", members)


@router.get("/take-out/studio.json")
def take_rows(rows: Rows) -> StreamingResponse:
    """Give every row of the studio as JSON, without photos."""
    told = json.dumps(write_studio(rows.connection()), ensure_ascii=False, indent=1)
    return StreamingResponse(
        iter([told.encode()]), media_type="application/json", headers=_saved_as(f"almanac-studio-{date.today()}.json")
    )


@router.get("/take-out/studio.zip")
def take_studio(rows: Rows, files: Photos) -> StreamingResponse:
    """Give the whole studio: every row as JSON, and every photo."""
    return _as_zip("almanac-studio", studio_members(rows, files))


def studio_members(rows: DatabaseSession, files: PhotoFiles) -> Iterator[Member]:
    """Give the files of a whole studio's ZIP. The rows come last, so that they name the photos as they went in."""
    return _members(write_studio(rows.connection()), files)


def _members(told: dict[str, Any], files: PhotoFiles) -> Iterator[Member]:
    yield Member("README.txt", _ABOUT_STUDIO.encode)
    yield Member("columns.txt", lambda: describe_columns().encode())
    for row in told["tables"]["photofile"]:
        try:
            content = _cleaned(files.content(row["sha256"]))
        except FileNotFoundError:
            continue
        row["sha256"], row["size"] = hashlib.sha256(content).hexdigest(), len(content)
        yield Member(f"photos/{row['sha256']}{_ending(content)}", partial(bytes, content), packed=True)
    yield Member("studio.json", lambda: json.dumps(told, ensure_ascii=False).encode())


@router.get("/clients/{client_id}/take-out.zip")
def take_client(rows: Rows, files: Photos, client_id: int) -> StreamingResponse:
    """Give all that is held about one client."""
    client = found(rows, Client, client_id)
    columns = {t.name: [c.name for c in t.columns] for t in kept_tables()}
    members = [
        Member("README.txt", _ABOUT_CLIENT.encode),
        Member("columns.txt", lambda: describe_columns().encode()),
    ]
    for table, held in rows_about(rows.connection(), client_id).items():
        text = as_csv(columns[table], held)
        members.append(Member(f"{table}.csv", partial(text.encode, "utf-8-sig")))
    shown = rows.exec(
        select(PhotoFile, func.min(FollowUp.on_date), func.min(Work.site))
        .outerjoin(FollowUp, col(FollowUp.photo_id) == col(PhotoFile.id))
        .outerjoin(Work, col(FollowUp.work_id) == col(Work.id))
        .where(PhotoFile.client_id == client_id)
        .group_by(col(PhotoFile.id))
    )
    for photo, day, site in shown:
        members.append(_photo(files, photo, f"photos/{day or 'no day'} {site or ''} {photo.sha256[:8]}"))
    return _as_zip(f"almanac-{re.sub('[^A-Za-z0-9]+', '-', client.alias).strip('-') or client_id}", members)


def _photo(files: PhotoFiles, photo: PhotoFile, name: str) -> Member:
    content = files.path(photo.sha256)
    ending = _ending(content.read_bytes()[:64]) if content.exists() else ""
    return Member(name + ending, lambda: _cleaned(content.read_bytes()), packed=True)


def _cleaned(content: bytes) -> bytes:
    """Photos of the first version lie as they were sent; one that cannot be cleaned is not given out."""
    try:
        return without_whereabouts(content)
    except PhotoUnreadable as error:
        raise FileNotFoundError from error


_STARTS = ((b"\xff\xd8", ".jpg"), (b"\x89PNG", ".png"), (b"II*", ".tif"), (b"MM", ".tif"), (b"RIFF", ".webp"))


def _ending(start: bytes) -> str:
    """Give the file name's ending by what the content begins with; all else that is stored is HEIC."""
    return next((ending for begins, ending in _STARTS if start.startswith(begins)), ".heic")


def _as_zip(name: str, members: Iterable[Member]) -> StreamingResponse:
    return StreamingResponse(
        zip_stream(members), media_type="application/zip", headers=_saved_as(f"{name}-{date.today()}.zip")
    )


def _saved_as(name: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
