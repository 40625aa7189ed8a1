"""Contraindications, asked and dated. A change is a new asking; what was said before stays on record."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, select

from webapp.pages.contraindications import ANSWERS, QUESTIONS, answer, needs_care, parted
from webapp.pages.form import Form
from webapp.pages.render import page
from webapp.pages.studio import Rows, SentForm, found
from webapp.records.tables import Client, Questioning

router = APIRouter(prefix="/clients")


def askings(rows: DatabaseSession, client_id: int) -> list[Questioning]:
    """Give what was asked, the latest first."""
    wanted = select(Questioning).where(Questioning.client_id == client_id)
    return list(rows.exec(wanted.order_by(col(Questioning.asked_on).desc(), col(Questioning.id).desc())))


@router.get("/{client_id}/questions")
def show_questions(request: Request, rows: Rows, client_id: int) -> HTMLResponse:
    """Show what was asked and when, with a form that starts from the latest answers."""
    client = found(rows, Client, client_id)
    known = askings(rows, client_id)
    entries = {"asked_on": date.today().isoformat()}
    for key in QUESTIONS:
        entries[key], entries[f"{key}_detail"] = parted(known[0].answers.get(key, "") if known else "")
    return _show(request, rows, client, Form(entries))


@router.post("/{client_id}/questions", response_model=None)
def add_questioning(request: Request, rows: Rows, form: SentForm, client_id: int) -> HTMLResponse | RedirectResponse:
    """Keep what was answered today, beside what was answered before."""
    client = found(rows, Client, client_id)
    asked_on = form.day("asked_on")
    note = form.text("question_note")
    answers = {}
    for key in QUESTIONS:
        told = answer(form.choice(key, ANSWERS), form.text(f"{key}_detail", longest=300))
        if told:
            answers[key] = told
    if form.sound and not answers and not note:
        form.errors["asked_on"] = "Nothing is answered yet. Answer one question at least, or write a note."
    if not form.sound:
        return _show(request, rows, client, form, 422)
    rows.add(Questioning(client_id=client_id, asked_on=asked_on, answers=answers, note=note))
    rows.commit()
    return RedirectResponse(f"/clients/{client_id}/questions", 303)


def _show(request: Request, rows: DatabaseSession, client: Client, form: Form, status: int = 200) -> HTMLResponse:
    known = askings(rows, client.id or 0)
    return page(
        request,
        "questions.html",
        status,
        client=client,
        form=form,
        questions=QUESTIONS,
        options=ANSWERS,
        askings=known,
        care=needs_care(known[0].answers) if known else [],
    )
