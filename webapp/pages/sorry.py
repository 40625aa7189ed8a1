"""Answers for what went wrong outside any form: a page with a sentence, never a bare status."""

from __future__ import annotations

from collections.abc import Callable, Coroutine, Mapping
from typing import Any

from fastapi import Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import Response
from sqlalchemy.exc import IntegrityError, SQLAlchemyError
from starlette.exceptions import HTTPException

from webapp.pages.form import Form
from webapp.pages.guard import STRICT_HEADERS
from webapp.pages.render import page

_NOT_STORED = "What you just sent was not stored."
_FULL = f"The disk is full or the data folder cannot be written to. {_NOT_STORED} Free some space, then send it again."
_SENTENCES = {
    400: "What was sent could not be read as this page's form: it was cut short on the way, or holds more than the "
    "page asks for. Nothing was changed. Go back and send it again.",
    404: "There is no such page. It may have been deleted; start again from the list of clients.",
    405: "That cannot be done this way. Go back and use the page's own buttons.",
    410: "The photo's file is missing from the data folder or damaged. Restore the folder from a copy, or delete "
    "the follow-up and add its photo again.",
    507: _FULL,
}


async def _refused(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    sentence = _SENTENCES.get(status, "That did not work. Go back and try again; nothing was changed.")
    return page(request, "sorry.html", status, sentence=sentence)


async def _no_such_page(request: Request, error: Exception) -> Response:
    """Only addresses are validated by the framework; forms are read by our own code."""
    return page(request, "sorry.html", 404, sentence=_SENTENCES[404])


async def _not_stored(request: Request, error: Exception) -> Response:
    if isinstance(error, IntegrityError):
        status, sentence = 409, f"Another window changed this meanwhile. {_NOT_STORED} Look, then send it again."
    elif "locked" in str(error):
        status, sentence = 503, f"The records are busy with something else. {_NOT_STORED} Send it again in a moment."
    else:
        status, sentence = 507, f"The studio's records could not be read or written. {_FULL}"
    return page(request, "sorry.html", status, sentence=sentence, again=_entries(request))


async def _not_written(request: Request, error: Exception) -> Response:
    return page(request, "sorry.html", 507, sentence=_FULL, again=_entries(request))


async def _unforeseen(request: Request, error: Exception) -> Response:
    sentence = (
        "Something went wrong inside the almanac; the window in which it was started says more. Perhaps what you "
        "just sent was not stored: look, then go back and send it again."
    )
    answer = page(request, "sorry.html", 500, sentence=sentence, again=_entries(request))
    answer.headers.update(STRICT_HEADERS)  # this answer alone is given outside the guard
    return answer


def _entries(request: Request) -> list[tuple[str, str]]:
    """Give the entries of the form that was sent, so that the page can send them once more; no file can be."""
    form = getattr(request.state, "form", None)
    return form.texts() if isinstance(form, Form) else []


Answer = Callable[[Request, Exception], Coroutine[Any, Any, Response]]
ANSWERS: Mapping[type[Exception], Answer] = {
    HTTPException: _refused,
    RequestValidationError: _no_such_page,
    SQLAlchemyError: _not_stored,
    OSError: _not_written,
    Exception: _unforeseen,
}
