"""What the demo studio's artist noted of her clients' skin, and what they answered. All of it is invented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session as DatabaseSession

from webapp.pages.contraindications import QUESTIONS, answer
from webapp.records.tables import Client, Questioning


@dataclass(frozen=True)
class _Person:
    """Skin type, undertone, age and quality of the skin in the artist's words, and the answers that were a yes."""

    skin_type: str
    undertone: str
    age_band: str
    skin_quality: str
    yes: Mapping[str, str]


_PEOPLE = {
    "Juniper": _Person("II", "rosy, cool", "35 to 44", "neither", {"allergies": "nickel, in earrings"}),
    "Heron": _Person("III", "neutral", "25 to 34", "neither", {}),
    "Sorrel": _Person("I", "pink", "25 to 34", "thin", {"skin": "rosacea on the cheeks, calm at the brow"}),
    "Bramble": _Person("V", "warm", "45 to 54", "neither", {}),
    "Plover": _Person("III", "neutral", "35 to 44", "neither", {"eyes": "contact lenses, taken out"}),
    "Marlow": _Person("II", "golden", "under 25", "neither", {}),
    "Tansy": _Person("II", "rosy", "65 and over", "thin and mature", {"heart": "high blood pressure, treated"}),
    "Wren": _Person("IV", "olive", "35 to 44", "neither", {}),
}


def add_details(rows: DatabaseSession, client: Client, asked_on: date) -> None:
    """Add to a demo client what the artist noted and what was answered on a day; does not commit."""
    person = _PEOPLE.get(client.alias)
    if person is None:
        return
    client.skin_type, client.undertone = person.skin_type, person.undertone
    client.age_band, client.skin_quality = person.age_band, person.skin_quality
    answers = {key: answer("yes", person.yes[key]) if key in person.yes else "no" for key in QUESTIONS}
    answers["patch_test"] = "yes: calm after two days"
    rows.add(Questioning(client_id=client.id or 0, asked_on=asked_on, answers=answers, note="invented"))
