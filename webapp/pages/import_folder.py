"""Import of a folder of old photos: the list is made from names and the beginnings of files, and nothing else kept."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, func, select
from starlette.datastructures import UploadFile

from webapp.pages.follow_up_entries import cards_on_shelf
from webapp.pages.form import Form
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm, StudioSettings, found
from webapp.photo.read import day_taken
from webapp.records.photo_names import index_of_aliases, read_name, site_among
from webapp.records.tables import Client, PhotoImport, PhotoImportItem, Work
from webapp.records.words import FAILED, IMPORT_STATES, LEFT_OUT, OPEN, READY, SITES

router = APIRouter()
ROWS_AT_ONCE = 50
"""Lines that are corrected on one page."""
_LONGEST_NAME = 1000


@router.get("/imports/new")
def choose_folder(request: Request) -> HTMLResponse:
    """Show where the folder is chosen."""
    return page(request, "import_new.html")


@router.post("/imports")
def begin(rows: Rows) -> JSONResponse:
    """Begin an import, empty yet; give its number."""
    begun = PhotoImport(created_at=datetime.now(UTC))
    rows.add(begun)
    rows.commit()
    return JSONResponse({"id": begun.id})


@router.post("/imports/{import_id}/list")
def list_photo(rows: Rows, settings: StudioSettings, form: SentForm, import_id: int) -> JSONResponse:
    """Put one photo on the list by its name, size and beginning; told twice, it stands there once."""
    found(rows, PhotoImport, import_id)
    path, size, beginning = form["path"], form["size"], form.entries.get("beginning")
    if not path or not size.isdecimal() or len(size) > 15 or not isinstance(beginning, UploadFile):
        raise HTTPException(400)
    path = path if len(path) <= _LONGEST_NAME else f"…{path[-_LONGEST_NAME:]}"
    wanted = select(PhotoImportItem).where(PhotoImportItem.import_id == import_id, PhotoImportItem.path == path)
    item = rows.exec(wanted).first()
    if item is None:
        item = _guessed(rows, import_id, path, int(size), day_taken(beginning.file.read()))
        if item.size > settings.max_upload_bytes:
            item.state = FAILED
            item.sentence = (
                f"The file is larger than {settings.max_upload_bytes // 1_000_000} MB, which no photo from a phone "
                "is. Save it as JPEG in full size and import that."
            )
        rows.add(item)
        rows.commit()
    return JSONResponse({"id": item.id, "state": item.state})


@router.get("/imports/{import_id}")
def show_import(request: Request, rows: Rows, import_id: int) -> HTMLResponse:
    """Show how far an import is: lines to correct, photos to bring in, what was refused and why."""
    return import_page(request, rows, found(rows, PhotoImport, import_id))


@router.post("/imports/{import_id}/away")
def put_away(rows: Rows, import_id: int) -> RedirectResponse:
    """Put the list away; photos that came in stay as the follow-ups they are."""
    rows.delete(found(rows, PhotoImport, import_id))
    rows.commit()
    return RedirectResponse("/", 303)


def import_page(
    request: Request,
    rows: DatabaseSession,
    begun: PhotoImport,
    form: Form | None = None,
    sent: list[PhotoImportItem] | None = None,
    status: int = 200,
) -> HTMLResponse:
    """Give the import's page; `form` and the lines `sent` with it where their entries are to be kept."""
    of_import = (PhotoImportItem.import_id == begun.id,)
    counted = rows.exec(
        select(PhotoImportItem.state, func.count()).where(*of_import).group_by(PhotoImportItem.state)
    ).all()
    in_order = select(PhotoImportItem).where(*of_import).order_by(col(PhotoImportItem.path))
    lines = sent or rows.exec(in_order.where(PhotoImportItem.state == OPEN).limit(ROWS_AT_ONCE)).all()
    aliases = [(key or 0, alias) for key, alias in rows.exec(select(Client.id, Client.alias).order_by(Client.alias))]
    cards = cards_on_shelf(rows)
    return page(
        request,
        "import_folder.html",
        status,
        begun=begun,
        count=dict.fromkeys(IMPORT_STATES, 0) | dict(counted),
        lines=lines,
        form=form or Form(_entries(list(lines), dict(aliases))),
        refused=rows.exec(in_order.where(PhotoImportItem.state == FAILED)).all(),
        left_out=rows.exec(in_order.where(PhotoImportItem.state == LEFT_OUT)).all(),
        aliases=[alias for _, alias in aliases],
        sites=SITES,
        cards=cards,
    )


def unfinished_imports(rows: DatabaseSession) -> list[tuple[int, date, int]]:
    """Give the imports with photos still to come in: number, day begun, how many photos."""
    waiting = (
        select(PhotoImport.id, PhotoImport.created_at, func.count())
        .join(PhotoImportItem)
        .where(col(PhotoImportItem.state).in_((OPEN, READY)))
        .group_by(col(PhotoImport.id))
    )
    return [(key or 0, begun.date(), left) for key, begun, left in rows.exec(waiting)]


def _guessed(rows: DatabaseSession, import_id: int, path: str, size: int, taken: date | None) -> PhotoImportItem:
    aliases = index_of_aliases((key or 0, alias) for key, alias in rows.exec(select(Client.id, Client.alias)))
    said = read_name(path, aliases)
    sites = rows.exec(select(Work.site).where(Work.client_id == said.client_id)).all()
    cards = cards_on_shelf(rows)
    return PhotoImportItem(
        import_id=import_id,
        path=path,
        size=size,
        client_id=said.client_id,
        site=site_among(said.sites, sites),
        on_date=taken or said.day,
        day_from="camera" if taken else "name" if said.day else "",
        card_id=cards[0].id if len(cards) == 1 else None,
        state=OPEN,
    )


def _entries(lines: list[PhotoImportItem], aliases: dict[int, str]) -> dict[str, str]:
    told: dict[str, Any] = {}
    for line in lines:
        told |= {
            f"take-{line.id}": "yes",
            f"client-{line.id}": aliases.get(line.client_id or 0, ""),
            f"site-{line.id}": line.site,
            f"on-{line.id}": line.on_date.isoformat() if line.on_date else "",
            f"card-{line.id}": str(line.card_id or ""),
        }
    return told
