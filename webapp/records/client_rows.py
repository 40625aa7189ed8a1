"""One client's rows out of every table, for a client who asks what is held about them."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ColumnElement, Connection, RowMapping, select
from sqlmodel import col

from webapp.records.studio_file import kept_tables
from webapp.records.tables import (
    Bottle,
    Card,
    Client,
    Consent,
    Constituent,
    FollowUp,
    MeasurementRow,
    PhotoFile,
    Pigment,
    Questioning,
    Session,
    SessionPigment,
    Work,
)


def rows_about(connection: Connection, client_id: int) -> dict[str, list[RowMapping]]:
    """Give, table by table, all that is held about a client, with the pigments in her and the cards beside her."""
    works = select(col(Work.id)).where(col(Work.client_id) == client_id)
    sessions = select(col(Session.id)).where(col(Session.work_id).in_(works))
    follow_ups = select(col(FollowUp.id)).where(col(FollowUp.work_id).in_(works))
    pigments = select(col(SessionPigment.pigment_id)).where(col(SessionPigment.session_id).in_(sessions))
    bottles = select(col(SessionPigment.bottle_id)).where(col(SessionPigment.session_id).in_(sessions))
    cards = select(col(FollowUp.card_id)).where(col(FollowUp.work_id).in_(works))
    about: dict[Any, ColumnElement[bool]] = {
        Client: col(Client.id) == client_id,
        Questioning: col(Questioning.client_id) == client_id,
        Consent: col(Consent.client_id) == client_id,
        Work: col(Work.client_id) == client_id,
        PhotoFile: col(PhotoFile.client_id) == client_id,
        Session: col(Session.work_id).in_(works),
        SessionPigment: col(SessionPigment.session_id).in_(sessions),
        FollowUp: col(FollowUp.work_id).in_(works),
        MeasurementRow: col(MeasurementRow.follow_up_id).in_(follow_ups),
        Pigment: col(Pigment.id).in_(pigments),
        Constituent: col(Constituent.pigment_id).in_(pigments),
        Bottle: col(Bottle.id).in_(bottles),
        Card: col(Card.id).in_(cards),
    }
    conditions = {table.__table__: condition for table, condition in about.items()}
    return {
        t.name: list(connection.execute(select(t).where(conditions[t]).order_by(*t.primary_key.columns)).mappings())
        for t in kept_tables()
        if t in conditions
    }
