"""What the follow-up's pages share: the entries of their forms, and what surrounds a follow-up."""

from __future__ import annotations

from datetime import date
from typing import Any

from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, select

from webapp.colorimetry.density import density
from webapp.colorimetry.measured import MeasuredColour
from webapp.pages.form import Form
from webapp.pages.render import plain_day
from webapp.pages.studio import found
from webapp.records import queries
from webapp.records.tables import Card, Client, FollowUp, MeasurementRow, Work

Answer = HTMLResponse | RedirectResponse


def surroundings(rows: DatabaseSession, follow_up: FollowUp) -> dict[str, Any]:
    """Give what every page about a follow-up shows above it."""
    work = found(rows, Work, follow_up.work_id)
    return {"follow_up": follow_up, "work": work, "client": found(rows, Client, work.client_id)}


def density_of(pigment: MeasuredColour, skin: MeasuredColour | None) -> float | None:
    """Give the density, None without bare skin."""
    return None if skin is None else float(density(pigment.lab, skin.lab))


def measurement_of(rows: DatabaseSession, follow_up: FollowUp) -> MeasurementRow | None:
    """Give the stored measurement; None while the follow-up is unfinished."""
    return rows.exec(select(MeasurementRow).where(MeasurementRow.follow_up_id == follow_up.id)).first()


def cards_on_shelf(rows: DatabaseSession) -> list[Card]:
    """Give the cards in the order in which they were added."""
    return list(rows.exec(select(Card).order_by(col(Card.id))))


def card_chosen(form: Form, rows: DatabaseSession) -> Card | None:
    """Give the card that was chosen, None and an error where none was."""
    cards = {str(c.id): c for c in cards_on_shelf(rows)}
    return cards.get(form.choice("card", list(cards)))


def day_entered(form: Form, rows: DatabaseSession, work_id: int, may_be_empty: bool = False) -> date | None:
    """Give the day that was entered; None, mostly with an error, where it is missing or before the first session."""
    first = queries.first_session_day(rows, work_id)
    if first is None:
        form.errors["on"] = "Enter the session first: drift is counted from the day the pigment went in."
        return None
    if may_be_empty and not form["on"].strip():
        return None
    return form.day("on", first, f"This is before the work's first session, on {plain_day(first)}.")
