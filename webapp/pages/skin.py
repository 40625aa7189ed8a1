"""A client's skin: what the photos measured over time, beside the artist's own words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session as DatabaseSession
from sqlmodel import select

from webapp.charts.skin_tone import TonePoint, skin_tone_chart
from webapp.charts.style import Width
from webapp.colorimetry.skin_reading import HUE_DIVIDE, SkinReading, lean, read_skin
from webapp.colorimetry.skin_tone import skin_tone_class
from webapp.pages.judgement import measured_skin
from webapp.pages.render import hex_colour, page
from webapp.pages.studio import Rows, found
from webapp.records import queries
from webapp.records.tables import Client, Work

router = APIRouter(prefix="/clients")


@dataclass(frozen=True)
class MeasuredSkin:
    """The bare skin of one follow-up, and whether the photo is sound."""

    on: date
    site: str
    follow_up_id: int
    lab: tuple[float, float, float]
    reading: SkinReading
    sound: bool


@dataclass(frozen=True)
class SkinSummary:
    """The middle of the sound readings: ITA and hue in degrees, in words, and how many."""

    angle: float
    tone: str
    hue: float
    lean: str
    count: int


def skins(rows: DatabaseSession, client_id: int) -> list[MeasuredSkin]:
    """Give every measured bare skin of a client, in order of time."""
    works = [key for key in rows.exec(select(Work.id).where(Work.client_id == client_id)) if key is not None]
    measured = []
    for record in queries.works(rows, works):
        for item in record.follow_ups:
            skin = None if item.measurement is None else measured_skin(item.measurement)
            if skin is None or item.measurement is None:
                continue
            sound = item.measurement.grade != "retake" or bool(item.follow_up.taken_in_because)
            on, key = item.follow_up.on_date, item.follow_up.id or 0
            lab = (float(skin.lab[0]), float(skin.lab[1]), float(skin.lab[2]))
            measured.append(MeasuredSkin(on, record.work.site, key, lab, read_skin(skin), sound))
    return sorted(measured, key=lambda m: (m.on, m.follow_up_id))


def summary(measured: list[MeasuredSkin]) -> SkinSummary | None:
    """Give the median of the sound readings; their own scatter decides whether the hue leans. None without any."""
    sound = [m.reading for m in measured if m.sound]
    if not sound:
        return None
    angle, hues = float(np.median([r.angle for r in sound])), np.array([r.hue for r in sound])
    own = float(np.median([r.hue_sd for r in sound]))
    # One camera and lamp may be off in the same way every time, so many photos make the middle no surer than one.
    return SkinSummary(
        angle, skin_tone_class(angle), float(np.median(hues)), lean(float(np.median(hues)), own), len(sound)
    )


@router.get("/{client_id}/skin")
def show_skin(request: Request, rows: Rows, client_id: int) -> HTMLResponse:
    """Show the skin as measured and as the artist sees it."""
    client = found(rows, Client, client_id)
    measured = skins(rows, client_id)
    return page(request, "skin.html", client=client, measured=measured, summary=summary(measured), divide=HUE_DIVIDE)


@router.get("/{client_id}/skin.svg")
def skin_chart(rows: Rows, client_id: int, width: Width = "wide") -> Response:
    """Draw ITA over time."""
    found(rows, Client, client_id)
    points = [
        TonePoint(_year(m.on), m.reading.angle, m.reading.angle_sd, hex_colour(m.lab))
        for m in skins(rows, client_id)
        if m.sound
    ]
    if not points:
        raise HTTPException(404)
    return Response(skin_tone_chart(points, width), media_type="image/svg+xml")


def _year(day: date) -> float:
    return day.year + (day.timetuple().tm_yday - 1) / 365.25
