"""The client's sheet: a page to print, and the same as a PDF to hand over."""

from __future__ import annotations

import re
import unicodedata
from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from webapp.pages.judging_ahead import RESTS_ON_ALL_WORKS
from webapp.pages.pictures import latest_picture
from webapp.pages.render import page
from webapp.pages.sheet import make_sheet
from webapp.pages.sheet_pdf import FOOTER, sheet_pdf
from webapp.pages.sheet_words import CHART
from webapp.pages.studio import Photos, Rows, StudioSettings, found
from webapp.pages.works import show_chart
from webapp.records.tables import Work

router = APIRouter(prefix="/works")


@router.get("/{work_id}/sheet", dependencies=RESTS_ON_ALL_WORKS)
def show_sheet(request: Request, rows: Rows, settings: StudioSettings, work_id: int) -> HTMLResponse:
    """Show the sheet as a page that prints on one side of A4."""
    sheet = make_sheet(rows, settings, found(rows, Work, work_id), date.today())
    return page(request, "client_sheet.html", sheet=sheet, chart_words=CHART, footer=FOOTER)


@router.get("/{work_id}/sheet.pdf", dependencies=RESTS_ON_ALL_WORKS)
def give_sheet(rows: Rows, files: Photos, settings: StudioSettings, work_id: int) -> Response:
    """Give the same sheet as a PDF of one page."""
    sheet = make_sheet(rows, settings, found(rows, Work, work_id), date.today())
    pictures = [bytes(latest_picture(rows, files, settings, photo.follow_up_id).body) for photo in sheet.photos]
    chart = None
    if sheet.chart_of is not None:
        drawn = show_chart(rows, settings, work_id, sheet.chart_of, "difference", "narrow")
        chart = bytes(drawn.body).decode()
    name = _plain(f"{sheet.alias}-{sheet.site}-{sheet.made_on.isoformat()}")
    headers = {"Content-Disposition": f'attachment; filename="{name}.pdf"'}
    return Response(sheet_pdf(sheet, pictures, chart), media_type="application/pdf", headers=headers)


def _plain(words: str) -> str:
    """Give a file name that every system takes."""
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode()
    return re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-") or "sheet"
