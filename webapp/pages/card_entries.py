"""The entries of a card's forms: its name, its kind and id, its values."""

from __future__ import annotations

from sqlmodel import Session as DatabaseSession

from webapp.pages.form import Form
from webapp.photo.printed_card import CardIdUnusable, printed_card
from webapp.records import queries
from webapp.records.words import CARD_KINDS, PRINTED_STRIP

STEPS_AT_MOST = 12
_SD_AT_MOST = 10.0


def card_name(form: Form, rows: DatabaseSession) -> str:
    """Give the name, which no other card may have."""
    name = form.text("name", "Give the card a name that tells it from the others.", longest=120)
    if queries.card_called(rows, name) is not None:
        form.errors["name"] = "A card of this name is already here."
    return name


def kind_and_id(form: Form) -> tuple[str, str]:
    """Give the kind, and the id that a printed strip's codes carry; "" and an error where they do not serve."""
    kind = form.choice("kind", CARD_KINDS)
    if kind != PRINTED_STRIP:
        return kind, ""
    told = form["printed_id"].strip()
    try:
        return kind, printed_card(told).id
    except CardIdUnusable as unusable:
        form.errors["printed_id"] = (
            str(unusable)
            if told
            else "Give the id that is printed on the strip, at the right below its greys: its codes carry it."
        )
    return kind, ""


def read_patches(form: Form) -> list[list[float]]:
    """Read the field "patches": one line a patch, L a b; none where it is empty or an error."""
    patches: list[list[float]] = []
    for line in (one for one in form["patches"].splitlines() if one.strip()):
        values = _numbers(line)
        if len(values) != 3 or not (1 <= values[0] <= 100 and max(map(abs, values[1:])) <= 15):
            form.errors["patches"] = (
                f"“{line.strip()}” is not a grey’s L* a* b*. Write three numbers a line, such as 49.5 0 0: "
                "L* from 1 to 100, a* and b* within ± 15."
            )
            return []
        patches.append(values)
    if len(patches) > STEPS_AT_MOST:
        form.errors["patches"] = f"At most {STEPS_AT_MOST} steps are read."
    return patches


def read_sd(form: Form) -> list[float] | None:
    """Read the field "sd": one number for L*, a* and b* alike, or three; None where it is empty or an error."""
    if not form["sd"].strip():
        return None
    values = _numbers(form["sd"])
    if len(values) not in (1, 3) or not all(0 < v <= _SD_AT_MOST for v in values):
        form.errors["sd"] = (
            f"“{form['sd'].strip()}” is no standard deviation. Write one number, or three for L* a* b*, "
            f"each above 0 and up to {_SD_AT_MOST:g}, or leave it empty."
        )
        return None
    return values * 3 if len(values) == 1 else values


def _numbers(line: str) -> list[float]:
    """Read the numbers of a line, with decimal points or commas, apart by blanks, commas or semicolons."""
    words = line.replace(";", " ").replace("−", "-").split()
    words = [w.replace(",", ".") if w.count(",") == 1 and not w.endswith(",") else w.strip(",") for w in words]
    try:
        return [float(w) for w in words]
    except ValueError:
        return []
