"""All clients, a page at a time, and the search as one types."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session as DatabaseSession

from webapp.pages.render import page
from webapp.pages.studio import Rows
from webapp.records.client_search import find_clients

router = APIRouter(prefix="/clients")
A_PAGE = 50


@router.get("")
def list_clients(
    request: Request, rows: Rows, q: str = "", page_number: Annotated[str, Query(alias="page")] = "1"
) -> HTMLResponse:
    """List the clients whose alias holds the words, or all; works without any script."""
    return page(request, "clients.html", **_found(rows, q, page_number))


@router.get("/found")
def found_clients(request: Request, rows: Rows, q: str = "") -> HTMLResponse:
    """Give the list alone, as a piece of HTML, for the search as one types."""
    return page(request, "clients_found.html", **_found(rows, q, "1"))


def _found(rows: DatabaseSession, q: str, number: str) -> dict[str, Any]:
    q = q.encode(errors="replace").decode().strip()[:80]
    page_number = max(int(number), 1) if number.isdecimal() and len(number) < 6 else 1
    offset = (page_number - 1) * A_PAGE
    clients, total = find_clients(rows, q, A_PAGE, offset)
    return {"q": q, "clients": clients, "total": total, "offset": offset, "page_number": page_number}
