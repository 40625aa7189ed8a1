"""Clients found by their alias, a page at a time, with what tells them apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session as DatabaseSession
from sqlmodel import col, func, or_, select

from webapp.records.folding import folded
from webapp.records.tables import Client, FollowUp, Session, Work
from webapp.records.words import EARLIER_WORK


@dataclass(frozen=True)
class FoundClient:
    """A client in a list: alias, the sites of the works, and the day of the latest session or follow-up."""

    client_id: int
    alias: str
    sites: tuple[str, ...]
    latest: date | None


def find_clients(rows: DatabaseSession, words: str, limit: int, offset: int = 0) -> tuple[tuple[FoundClient, ...], int]:
    """Give the clients whose alias holds every one of the words, and how many there are in all.

    Capitals and accents make no difference. What begins with the words stands first, then alphabetical order.
    """
    alias = func.folded(Client.alias)
    sought = folded(words).split()
    holds = [func.instr(alias, word) > 0 for word in sought]
    count = rows.exec(select(func.count()).select_from(Client).where(*holds)).one()
    begins = [func.instr(alias, sought[0]) != 1] if sought else []
    wanted = select(Client.id, Client.alias).where(*holds).order_by(*begins, alias, col(Client.id))
    pairs = [(key, name) for key, name in rows.exec(wanted.limit(limit).offset(offset)) if key is not None]
    keys = [key for key, _ in pairs]
    sites, latest = _sites(rows, keys), _latest(rows, keys)
    return tuple(FoundClient(key, name, tuple(sites[key]), latest.get(key)) for key, name in pairs), count


def _sites(rows: DatabaseSession, clients: Sequence[int]) -> dict[int, list[str]]:
    sites: defaultdict[int, list[str]] = defaultdict(list)
    of_works = select(Work.client_id, Work.site).where(col(Work.client_id).in_(clients)).order_by(col(Work.id))
    for client, site in rows.exec(of_works):
        sites[client].append(site)
    return sites


def _latest(rows: DatabaseSession, clients: Sequence[int]) -> dict[int, date]:
    latest: dict[int, date] = {}
    for table in (Session, FollowUp):
        days = (
            select(Work.client_id, func.max(table.on_date))
            .join(table, col(table.work_id) == col(Work.id))
            .where(col(Work.client_id).in_(clients))
            .group_by(col(Work.client_id))
        )
        if table is Session:
            days = days.where(Session.kind != EARLIER_WORK)  # that day she was with someone else
        for client, day in rows.exec(days):
            latest[client] = max(latest.get(client, day), day)
    return latest


def others_alike(rows: DatabaseSession, client: Client, limit: int = 5) -> list[Client]:
    """Give other clients that may be the same person: an alias that holds this one's, or is held by it."""
    own, other = folded(client.alias), func.folded(Client.alias)
    alike = or_(func.instr(other, own) > 0, func.instr(own, other) > 0)
    return list(rows.exec(select(Client).where(Client.id != client.id, alike).order_by(other).limit(limit)))


def without_works(rows: DatabaseSession, limit: int) -> list[Client]:
    """Give clients without a work, the latest first."""
    wanted = select(Client).where(~select(Work.id).where(Work.client_id == Client.id).exists())
    return list(rows.exec(wanted.order_by(col(Client.created_at).desc(), col(Client.id).desc()).limit(limit)))
