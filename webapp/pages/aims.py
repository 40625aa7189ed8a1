"""The aim of a work: a colour picked, with the client's agreement."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession

from webapp.pages.aim_choices import AimChoice, aim_choices, spot_choice
from webapp.pages.form import Form
from webapp.pages.judgement import WorkVerdict, judge_work
from webapp.pages.render import page
from webapp.pages.studio import Photos, Rows, SentForm, StudioSettings, found
from webapp.photo.polygon import MarkUnusable
from webapp.photo.read import PhotoUnreadable
from webapp.photo.spot import Spot
from webapp.records import queries
from webapp.records.photo_files import PhotoFiles
from webapp.records.queries import FollowUpRecord
from webapp.records.tables import Card, Work
from webapp.settings import Settings

router = APIRouter(prefix="/works")
_MIDDLE = {"across": "50", "down": "50", "size": "3"}


@router.get("/{work_id}/aim")
def show_aim(request: Request, rows: Rows, settings: StudioSettings, work_id: int) -> HTMLResponse:
    """Show the aim, and every colour that could be it."""
    verdict = _verdict(rows, settings, work_id)
    form = Form({"agreed_on": date.today().isoformat(), "aim_note": verdict.record.work.aim_note})
    return _show(request, rows, verdict, form)


@router.post("/{work_id}/aim", response_model=None)
def set_aim(
    request: Request, rows: Rows, files: Photos, settings: StudioSettings, form: SentForm, work_id: int
) -> HTMLResponse | RedirectResponse:
    """Record the aim with the client's agreement, or take it away where that button was pressed."""
    verdict = _verdict(rows, settings, work_id)
    work = found(rows, Work, work_id)
    if form["remove"]:
        work.aim_lab, work.aim_from, work.aim_agreed_on, work.aim_note = None, "", None, ""
        rows.commit()
        return RedirectResponse(f"/works/{work_id}", 303)
    is_spot = form["source"] == "spot"
    chosen = _spot(rows, files, settings, verdict, form)[0] if is_spot else _chosen(rows, verdict, form)
    note, agreed_on = form.text("aim_note"), form.day("agreed_on")
    if not form["agreed"]:
        form.errors["agreed"] = "Tick that the client has agreed: the aim is hers before it is yours."
    if not form.sound or chosen is None:
        if is_spot and {"across", "down", "size", "follow_up"}.isdisjoint(form.errors):
            return _spot_page(request, rows, files, settings, verdict, form, 422)
        return _show(request, rows, verdict, form, 422)
    work.aim_lab, work.aim_from = list(chosen.lab), chosen.source
    work.aim_agreed_on, work.aim_note = agreed_on, note
    rows.commit()
    return RedirectResponse(f"/works/{work_id}", 303)


@router.get("/{work_id}/aim/spot")
def pick_spot(request: Request, rows: Rows, files: Photos, settings: StudioSettings, work_id: int) -> HTMLResponse:
    """Show a balanced photo with a spot on it, and the spot's colour."""
    asked = request.query_params
    entries = {name: asked.get(name) or start for name, start in _MIDDLE.items()}
    entries |= {"follow_up": asked.get("follow_up", ""), "agreed_on": date.today().isoformat()}
    entries["aim_note"] = asked.get("aim_note", "")
    verdict = _verdict(rows, settings, work_id)
    return _spot_page(request, rows, files, settings, verdict, Form(entries))


def _verdict(rows: DatabaseSession, settings: Settings, work_id: int) -> WorkVerdict:
    found(rows, Work, work_id)
    return judge_work(queries.works(rows, [work_id])[0], settings)


def _chosen(rows: DatabaseSession, verdict: WorkVerdict, form: Form) -> AimChoice | None:
    offered = {choice.key: choice for choice in aim_choices(rows, verdict)}
    if form["source"] not in offered:
        form.errors["source"] = "Choose the colour that is to be reached."
    return offered.get(form["source"])


def _measured(verdict: WorkVerdict) -> list[FollowUpRecord]:
    return [f for f in reversed(verdict.record.follow_ups) if f.measurement is not None]


def _spot(
    rows: DatabaseSession, files: PhotoFiles, settings: Settings, verdict: WorkVerdict, form: Form
) -> tuple[AimChoice | None, float]:
    """Give the colour of the spot that the form names and the shape of the picture; None where an entry is wrong."""
    item = next((f for f in _measured(verdict) if str(f.follow_up.id) == form["follow_up"]), None)
    if item is None:
        raise HTTPException(404)
    before = set(form.errors)
    spot = Spot(
        form.number("across", 0, 100) / 100, form.number("down", 0, 100) / 100, form.number("size", 0.5, 25) / 200
    )
    wrong = set(form.errors) - before
    if wrong:
        spot = Spot(0.5, 0.5, 0.015)
    card = found(rows, Card, item.follow_up.card_id)
    try:
        choice, shape = spot_choice(files, item, card, verdict, spot, settings.max_pixels)
    except (OSError, PhotoUnreadable, MarkUnusable) as lost:
        raise HTTPException(410) from lost
    return (None if wrong else choice), shape


def _show(request: Request, rows: DatabaseSession, verdict: WorkVerdict, form: Form, status: int = 200) -> HTMLResponse:
    return page(
        request,
        "aim.html",
        status,
        record=verdict.record,
        form=form,
        choices=aim_choices(rows, verdict),
        photos=_measured(verdict),
    )


def _spot_page(
    request: Request,
    rows: DatabaseSession,
    files: PhotoFiles,
    settings: Settings,
    verdict: WorkVerdict,
    form: Form,
    status: int = 200,
) -> HTMLResponse:
    choice, shape = _spot(rows, files, settings, verdict, form)
    return page(
        request,
        "aim_spot.html",
        status if choice is not None else 422,
        record=verdict.record,
        form=form,
        choice=choice,
        shape=shape,
    )
