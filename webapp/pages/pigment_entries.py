"""The entries of a pigment's form: read, checked, stored."""

from __future__ import annotations

from sqlmodel import Session as DatabaseSession

from webapp.pages.form import Form
from webapp.pages.label_rows import from_rows, keep_label, settle_family, understood
from webapp.pigments.constituent import Constituent
from webapp.pigments.family import derive_family
from webapp.records import queries, shelf_rows
from webapp.records.tables import Pigment
from webapp.records.words import FAMILIES, SITES

_LONGEST_LABEL = 5000


def entries_of(rows: DatabaseSession, pigment: Pigment) -> Form:
    """Give a form that holds what is known of a pigment."""
    derived = derive_family(from_rows(shelf_rows.constituents_of(rows, [pigment.id or 0])[pigment.id or 0]))
    follows = not pigment.family_because and derived.family == pigment.family
    return Form(
        {
            "name": pigment.name,
            "shade": pigment.shade,
            "maker": pigment.maker,
            "label": pigment.label,
            "family": "" if follows else pigment.family,
            "family_because": pigment.family_because,
            "sites": ",".join(pigment.sites),
            "note": pigment.note,
        }
    )


def store_pigment(rows: DatabaseSession, form: Form, pigment: Pigment | None) -> Pigment | None:
    """Store what was entered in a new pigment or in one that is there; None, and errors, where something is wrong."""
    name = form.text("name", "Give the name that stands on the bottle.", longest=120)
    shade, maker = form.text("shade", longest=120), form.text("maker", longest=120)
    label, note = form.text("label", longest=_LONGEST_LABEL), form.text("note")
    because = form.text("family_because", longest=500)
    same = queries.pigment_called(rows, name)
    if same is not None and (pigment is None or same.id != pigment.id):
        form.errors["name"] = "A pigment of this name is already on the shelf."
    changed = pigment is None or label != pigment.label
    read = understood(rows, label) if changed else _stored(rows, pigment)
    derived = derive_family(read).family
    chosen = form["family"]
    if chosen:
        form.choice("family", FAMILIES)
        if chosen != derived != "unknown" and not because and "family" not in form.errors:
            form.errors["family_because"] = (
                f"From the constituents it would be {derived}. Give the reason for {chosen}, or leave it to them."
            )
    if not form.sound:
        return None
    if pigment is None:
        pigment = Pigment(name=name, family="unknown")
        rows.add(pigment)
    pigment.name, pigment.shade, pigment.maker, pigment.note = name, shade, maker, note
    pigment.sites = [site for site in SITES if site in form.all("sites")]
    pigment.family = chosen or derived
    pigment.family_because = because if chosen and chosen != derived else ""
    rows.flush()
    if changed:
        keep_label(rows, pigment, label, read)
    settle_family(pigment, read)
    rows.commit()
    return pigment


def _stored(rows: DatabaseSession, pigment: Pigment | None) -> list[Constituent]:
    key = 0 if pigment is None else pigment.id or 0
    return from_rows(shelf_rows.constituents_of(rows, [key])[key])
