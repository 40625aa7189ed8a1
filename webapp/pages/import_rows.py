"""The list of an import, corrected: whose each photo is, of which work, which day, and with which card."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, select, update

from webapp.pages.follow_up_entries import Answer, cards_on_shelf, day_entered
from webapp.pages.form import Form
from webapp.pages.import_folder import ROWS_AT_ONCE, import_page
from webapp.pages.studio import Rows, SentForm, found
from webapp.records import queries
from webapp.records.tables import PhotoImport, PhotoImportItem, Work
from webapp.records.words import FAILED, LEFT_OUT, OPEN, READY, SITES

router = APIRouter()


@router.post("/imports/{import_id}", response_model=None)
def take_lines(request: Request, rows: Rows, form: SentForm, import_id: int) -> Answer:
    """Take the corrected lines of one page, all of them or none; those left out are remembered as such."""
    begun = found(rows, PhotoImport, import_id)
    keys = [int(k) for k in form.all("line") if k.isdecimal() and len(k) < 19][:ROWS_AT_ONCE]
    wanted = select(PhotoImportItem).where(
        PhotoImportItem.import_id == import_id, PhotoImportItem.state == OPEN, col(PhotoImportItem.id).in_(keys)
    )
    lines = list(rows.exec(wanted.order_by(col(PhotoImportItem.path))))
    for line in lines:
        if form[f"take-{line.id}"]:
            _take(form, rows, line)
        else:
            line.state = LEFT_OUT
    if form.sound:
        rows.commit()
        return RedirectResponse(f"/imports/{import_id}", 303)
    rows.rollback()
    return _again(request, rows, begun, form, keys)


@router.post("/imports/{import_id}/again")
def look_again(rows: Rows, import_id: int) -> RedirectResponse:
    """Open every line that is not stored for correction once more."""
    found(rows, PhotoImport, import_id)
    rows.exec(
        update(PhotoImportItem)
        .where(col(PhotoImportItem.import_id) == import_id, col(PhotoImportItem.state).in_((READY, FAILED, LEFT_OUT)))
        .values(state=OPEN, sentence="")
    )
    rows.commit()
    return RedirectResponse(f"/imports/{import_id}", 303)


def work_at(rows: DatabaseSession, client_id: int | None, site: str) -> Work | None:
    """Give the client's work on a site, the newest where there are several; None without one."""
    wanted = select(Work).where(Work.client_id == client_id, Work.site == site).order_by(col(Work.id).desc())
    return rows.exec(wanted).first()


def _again(request: Request, rows: DatabaseSession, begun: PhotoImport, form: Form, keys: list[int]) -> HTMLResponse:
    same = select(PhotoImportItem).where(col(PhotoImportItem.id).in_(keys), PhotoImportItem.import_id == begun.id)
    lines = list(rows.exec(same.order_by(col(PhotoImportItem.path))))
    return import_page(request, rows, begun, form, lines, 422)


def _take(form: Form, rows: DatabaseSession, line: PhotoImportItem) -> None:
    key = line.id
    alias = form.text(f"client-{key}", "Say whose photo this is, or take the tick away to leave it out.", 200)
    site = form.choice(f"site-{key}", SITES)
    cards = {str(c.id): c.id for c in cards_on_shelf(rows)}
    card = cards.get(form.choice(f"card-{key}", list(cards)))
    client = queries.client_called(rows, alias) if alias else None
    if alias and client is None:
        form.errors[f"client-{key}"] = "No client is called so. Choose one from the list, or add the client first."
    if client is None:
        _check_day_alone(form, key)
        return
    if queries.consent_in_force(rows, client.id or 0) is None:
        form.errors[f"client-{key}"] = (
            f"There is no consent to photo storage on file for {client.alias}, so this photo may not be stored. "
            "Record the consent on the client's page first, or leave the photo out."
        )
    work = work_at(rows, client.id, site) if site else None
    if site and work is None:
        form.errors[f"site-{key}"] = (
            f"{client.alias} has no work on the {site} yet. Add it with its session first, or leave the photo out."
        )
    if work is None:
        _check_day_alone(form, key)
        return
    entered = Form({"on": form[f"on-{key}"]})
    day = day_entered(entered, rows, work.id or 0)
    if not entered.sound:
        form.errors[f"on-{key}"] = entered.errors["on"]
        return
    line.client_id, line.site, line.on_date, line.card_id = client.id, site, day, card
    line.state, line.sentence = READY, ""


def _check_day_alone(form: Form, key: int | None) -> None:
    form.day(f"on-{key}")
