"""How photos should be taken, what the numbers mean, how far to trust them, and the cautions."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.drift.thresholds import SOURCE
from webapp.pages.render import page
from webapp.pages.studio import StudioSettings

router = APIRouter(prefix="/about")


@router.get("")
def about(request: Request, settings: StudioSettings) -> HTMLResponse:
    """Show the page."""
    return page(request, "about.html", settings=settings, source=SOURCE)
