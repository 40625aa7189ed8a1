"""Another photo as a cycle's baseline: set by the artist with her reason, and taken back."""

from __future__ import annotations

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from webapp.pages.judgement import cycles_of
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm, StudioSettings, found
from webapp.records import queries
from webapp.records.tables import Client, Session, Work

router = APIRouter(prefix="/sessions")


@router.post("/{session_id}/baseline", response_model=None)
def set_baseline(
    request: Request, rows: Rows, settings: StudioSettings, form: SentForm, session_id: int
) -> HTMLResponse | RedirectResponse:
    """Set one of a cycle's sound healed photos as its baseline, or take that back where that button was pressed."""
    session = found(rows, Session, session_id)
    back = RedirectResponse(f"/works/{session.work_id}#cycle-{session_id}", 303)
    if form["take_back"]:
        session.baseline_follow_up_id, session.baseline_because = None, ""
        rows.commit()
        return back
    record = queries.works(rows, [session.work_id])[0]
    cycle = next((c for c in cycles_of(record, settings) if c.session.key == session_id), None)
    if cycle is None:
        raise HTTPException(404)
    choices = [(r.key, r.on) for r in cycle.healed]
    chosen = form.choice("baseline", [str(key) for key, _ in choices])
    because = form.text("because", "Say why this photo is the better baseline; it is kept with the cycle.", longest=300)
    if not form.sound:
        work = found(rows, Work, session.work_id)
        return page(
            request,
            "baseline.html",
            422,
            form=form,
            session=session,
            work=work,
            client=found(rows, Client, work.client_id),
            choices=choices,
        )
    session.baseline_follow_up_id, session.baseline_because = int(chosen), because
    rows.commit()
    return back
