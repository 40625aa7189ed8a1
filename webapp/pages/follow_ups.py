"""A measured follow-up: what it says, the artist's word on it, and its end."""

from __future__ import annotations

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession

from webapp.pages.follow_up_entries import Answer, density_of, measurement_of, surroundings
from webapp.pages.form import Form
from webapp.pages.judgement import measured_outline, measured_pigment, measured_skin
from webapp.pages.measuring import Marks
from webapp.pages.render import page
from webapp.pages.studio import Photos, Rows, SentForm, found
from webapp.records import queries
from webapp.records.tables import Card, FollowUp, MeasurementRow, PhotoFile

router = APIRouter()


@router.get("/follow-ups/{follow_up_id}", response_model=None)
def show_follow_up(request: Request, rows: Rows, follow_up_id: int) -> Answer:
    """Show a measured follow-up; an unfinished one goes on where it was left."""
    follow_up = found(rows, FollowUp, follow_up_id)
    row = measurement_of(rows, follow_up)
    if row is None:
        return RedirectResponse(f"/follow-ups/{follow_up_id}/marks", 303)
    return _saved_page(request, rows, follow_up, row, Form({"because": follow_up.taken_in_because}))


@router.post("/follow-ups/{follow_up_id}/take-in", response_model=None)
def take_in(request: Request, rows: Rows, form: SentForm, follow_up_id: int) -> Answer:
    """Take a photo that was graded "retake" into the trend, with a reason, or leave it out again."""
    follow_up = found(rows, FollowUp, follow_up_id)
    row = measurement_of(rows, follow_up)
    if row is None:
        raise HTTPException(404)
    because = "" if form["leave_out"] else form.text("because", "Give the reason why this photo may be trusted.")
    if not form.sound:
        return _saved_page(request, rows, follow_up, row, form, 422)
    follow_up.taken_in_because = because
    rows.commit()
    return RedirectResponse(f"/follow-ups/{follow_up_id}", 303)


@router.post("/follow-ups/{follow_up_id}/delete")
def delete_follow_up(rows: Rows, files: Photos, follow_up_id: int) -> RedirectResponse:
    """Delete a follow-up, and its photo where no other work is on it."""
    follow_up = found(rows, FollowUp, follow_up_id)
    work_id, photo = follow_up.work_id, found(rows, PhotoFile, follow_up.photo_id)
    rows.delete(follow_up)
    rows.flush()
    if queries.photo_in_use(rows, photo.id or 0):
        files.drop_derived(photo.sha256, f"{follow_up_id}-")
    else:
        rows.delete(photo)
        rows.flush()
        files.discard(photo.sha256)  # before the commit, for the reason given in clients.withdraw
    rows.commit()
    return RedirectResponse(f"/works/{work_id}", 303)


def _saved_page(
    request: Request, rows: DatabaseSession, follow_up: FollowUp, row: MeasurementRow, form: Form, status: int = 200
) -> HTMLResponse:
    card = found(rows, Card, follow_up.card_id)
    marks = Marks(follow_up.card_patches, follow_up.outline)
    pigment, outline, skin = measured_pigment(row), measured_outline(row), measured_skin(row)
    return page(
        request,
        "follow_up.html",
        status,
        form=form,
        pigment=pigment,
        skin=skin,
        density=density_of(pigment, skin),
        outline=outline,
        outline_density=None if outline is None else density_of(outline, skin),
        grade=row.grade,
        reasons=row.reasons,
        method=row.method,
        patches=row.patches,
        residual=row.residual,
        key=f"{follow_up.id}-{marks.digest(card)}",
        card=card,
        **surroundings(rows, follow_up),
    )
