"""Choosing for a new work: how each family and pigment may look on this client's skin, healed and years on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, select

from webapp.colorimetry.skin_tone import skin_tone_class, typology_angle
from webapp.correction.cautions import cautions, is_fragile
from webapp.correction.choosing import YEARS, Question, Wish, like_their_family, look_ahead
from webapp.correction.trade_offs import trade_offs
from webapp.drift.thresholds import SOURCE
from webapp.pages.form import Form
from webapp.pages.judgement import measured_skin
from webapp.pages.judging_ahead import RESTS_ON_ALL_WORKS
from webapp.pages.learned import learn, place_of
from webapp.pages.render import page
from webapp.pages.studio import Rows, StudioSettings, found
from webapp.records.tables import Client, FollowUp, MeasurementRow, Work
from webapp.records.words import HANDS, SITES, TECHNIQUES

router = APIRouter(prefix="/clients/{client_id}/choose")
WISHES: tuple[tuple[Wish, str], ...] = (("natural", "natural, and fading evenly"), ("bold", "bold, and lasting"))


@dataclass(frozen=True)
class SkinReading:
    """The bare skin that colours are foretold on: the follow-up that shows it, and its tone in words."""

    row: MeasurementRow
    follow_up: FollowUp
    tone: str


@router.get("", dependencies=RESTS_ON_ALL_WORKS)
def show_choices(request: Request, rows: Rows, settings: StudioSettings, client_id: int) -> HTMLResponse:
    """Show the outlooks for the choices that the address names, else for a usual powder brow."""
    client = found(rows, Client, client_id)
    entries = {k: request.query_params.get(k, "") for k in ("site", "technique", "hand", "wish")}
    site = entries["site"] or SITES[0]
    entries["site"] = site
    entries["technique"] = entries["technique"] or ("eyeliner" if "eyeliner" in site else "powder brow")
    entries["hand"], entries["wish"] = entries["hand"] or "medium", entries["wish"] or "natural"
    form = Form(entries)
    form.choice("site", SITES)
    technique, hand = form.choice("technique", TECHNIQUES), form.choice("hand", HANDS)
    wish = form.choice("wish", [w for w, _ in WISHES])
    reading = _latest_skin(rows, client_id)
    words = f"{client.skin_notes} {client.skin_quality} {'mature' if client.age_band == '65 and over' else ''}"
    outlooks = []
    learned = None
    if form.sound and reading is not None and reading.row.skin_lab is not None:
        learned = learn(rows, settings)
        skin = np.array(reading.row.skin_lab)
        question = Question(
            skin,
            technique,
            place_of(site),
            hand,
            "bold" if wish == "bold" else "natural",
            is_fragile(words),
            settings.thresholds.unacceptable(skin),
        )
        outlooks = [
            (o, trade_offs(question, o))
            for o in look_ahead(question, learned.shelf, learned.baselines, learned.courses)
        ]
    return page(
        request,
        "choosing.html",
        200 if form.sound else 422,
        client=client,
        form=form,
        sites=SITES,
        techniques=TECHNIQUES,
        hands=HANDS,
        wishes=WISHES,
        wish_words=dict(WISHES).get("bold" if wish == "bold" else "natural"),
        reading=reading,
        families=[x for x in outlooks if x[0].is_family],
        pigments=[x for x in outlooks if not x[0].is_family],
        like_family=[] if learned is None else like_their_family(learned.layers),
        years=YEARS,
        cautions=cautions(site, words, carbon_offered=False),
        threshold_source=SOURCE,
    )


def _latest_skin(rows: DatabaseSession, client_id: int) -> SkinReading | None:
    """Give the latest sound reading of the client's bare skin, whichever work it lies beside."""
    wanted = (
        select(MeasurementRow, FollowUp)
        .join(FollowUp, col(FollowUp.id) == MeasurementRow.follow_up_id)
        .join(Work, col(Work.id) == FollowUp.work_id)
        .where(
            Work.client_id == client_id,
            (MeasurementRow.grade != "retake") | (FollowUp.taken_in_because != ""),
            col(MeasurementRow.skin_lab).is_not(None),
        )
        .order_by(col(FollowUp.on_date).desc(), col(FollowUp.id).desc())
    )
    found_row = rows.exec(wanted).first()
    if found_row is None:
        return None
    row, follow_up = found_row
    skin = measured_skin(row)
    if skin is None:
        return None
    return SkinReading(row, follow_up, skin_tone_class(float(typology_angle(skin.lab))))
