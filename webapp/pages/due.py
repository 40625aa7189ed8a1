"""Everything that is due, and the studio's intervals."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from webapp.drift.due import BOUNDS, Intervals
from webapp.pages.due_list import due_bottles, due_works, intervals_of, setting_name
from webapp.pages.form import Form
from webapp.pages.judged_works import judge_some
from webapp.pages.judging_ahead import RESTS_ON_ALL_WORKS
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm, StudioSettings
from webapp.records.due_rows import unfinished
from webapp.records.tables import StudioSetting

router = APIRouter(prefix="/due")
A_LIST = 200
"""Works listed of one kind; more are counted."""
LABELS = {
    "healed_check_days": ("Healed check, days after the session", "Four to six weeks is usual."),
    "photo_months": ("Next photo, months after the last", "Once a year is usual; oftener shows drift sooner."),
    "boost_months": ("Colour boost by date, months after the session", "Only until photos allow a forecast."),
    "ahead_days": ("List a visit so many days before its day", ""),
}


@router.get("", dependencies=RESTS_ON_ALL_WORKS)
def show_due(request: Request, rows: Rows, settings: StudioSettings) -> HTMLResponse:
    """List all that is due."""
    today, intervals = date.today(), intervals_of(rows)
    judge_some(rows, settings)
    return page(
        request,
        "due.html",
        works=due_works(rows, settings, intervals, today),
        bottles=due_bottles(rows, today),
        unfinished=unfinished(rows),
        intervals=intervals,
        at_most=A_LIST,
    )


@router.get("/intervals")
def show_intervals(request: Request, rows: Rows) -> HTMLResponse:
    """Show the intervals in use."""
    intervals = intervals_of(rows)
    return _intervals(request, Form({name: str(getattr(intervals, name)) for name in BOUNDS}))


@router.post("/intervals", response_model=None)
def change_intervals(request: Request, rows: Rows, form: SentForm) -> HTMLResponse | RedirectResponse:
    """Keep the intervals as entered."""
    values = {name: form.number(name, low, high) for name, (low, high) in BOUNDS.items()}
    for name, value in values.items():
        if name not in form.errors and value != round(value):
            form.errors[name] = "Give a whole number."
    if not form.sound:
        return _intervals(request, form, 422)
    start = Intervals()
    for name, value in values.items():
        row = rows.get(StudioSetting, setting_name(name))
        if row is not None and value == getattr(start, name):
            rows.delete(row)
        elif row is not None and row.value != round(value):
            row.value = round(value)
        elif row is None and value != getattr(start, name):
            rows.add(StudioSetting(name=setting_name(name), value=round(value)))
    rows.commit()
    return RedirectResponse("/due", 303)


def _intervals(request: Request, form: Form, status: int = 200) -> HTMLResponse:
    start = Intervals()
    fields = [
        (name, label, f"{hint} Start value {getattr(start, name)}: common practice, no source.".strip())
        for name, (label, hint) in LABELS.items()
    ]
    return page(request, "intervals.html", status, form=form, fields=fields)
