"""The first page: what wants the artist today."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, PlainTextResponse
from sqlmodel import col, func, select

from webapp.drift.due import WHATS
from webapp.drift.flags import NEEDS_A_LOOK
from webapp.pages.due_list import due_bottles, due_works, intervals_of
from webapp.pages.import_folder import unfinished_imports
from webapp.pages.judged_works import first_flags, judge_some, number_flagged
from webapp.pages.judging_ahead import RESTS_ON_ALL_WORKS
from webapp.pages.render import page
from webapp.pages.studio import Rows, StudioSettings
from webapp.records.client_search import without_works
from webapp.records.due_rows import unfinished
from webapp.records.tables import Client

router = APIRouter()
A_FEW = 5
"""Due visits of one kind shown here; the rest stand on the page of all that is due."""
MOST_WORKS = 24


@router.get("/health")
def health() -> PlainTextResponse:
    """Answer that the server is up."""
    return PlainTextResponse("ok")


@router.get("/", dependencies=RESTS_ON_ALL_WORKS)
def start(request: Request, rows: Rows, settings: StudioSettings) -> HTMLResponse:
    """Show what is due, the works that need a look first, and clients without works."""
    today = date.today()
    judge_some(rows, settings)
    flags = number_flagged(rows, settings)
    due = due_works(rows, settings, intervals_of(rows), today)
    left = unfinished(rows)
    return page(
        request,
        "start.html",
        due=[(what, due[what][:A_FEW], len(due[what])) for what in WHATS if due[what]],
        bottles=due_bottles(rows, today),
        unfinished=left[:A_FEW],
        unfinished_in_all=len(left),
        judged=first_flags(rows, settings, NEEDS_A_LOOK, MOST_WORKS),
        works_in_all=sum(flags.values()),
        flags=[(kind, flags[kind]) for kind in NEEDS_A_LOOK if flags.get(kind)],
        imports=unfinished_imports(rows),
        idle_clients=without_works(rows, MOST_WORKS),
        clients=rows.exec(select(func.count(col(Client.id)))).one(),
    )
