"""What the demo studio's invented bottles print, and the bottles themselves. No such pigment exists."""

from __future__ import annotations

from datetime import date

from sqlmodel import Session as DatabaseSession

from webapp.pages.label_rows import keep_label, settle_family, understood
from webapp.records.tables import Bottle, Pigment

_HEAD = "Mixture for use in tattoos or permanent make-up\nIngredients: "
_NICKEL = "\nContains nickel. Can cause allergic reactions."
LABELS = {
    "Umber Nine (invented)": f"{_HEAD}Aqua, CI 77499, CI 77491, CI 77492, Glycerin, Hamamelis Virginiana{_NICKEL}",
    "Russet Four (invented)": f"{_HEAD}Aqua, Iron oxides (CI 77499, CI 77491, CI 77492), Propylene Glycol{_NICKEL}",
    "Clay Two (invented)": "Wasser, Eisenoxid schwarz, Eisenoxid gelb, Eisenoxid rot, Titandioxid 4 %, Glyzerin",
    "Walnut Ink (invented)": f"{_HEAD}Aqua, Carbon black (CI 77266), CI 11780, Isopropyl Alcohol, Glycerin",
    "Night Ink (invented)": "C.I. 77266; Pigment Orange 36; eau; glycérine; extrait de brindille inventée",
    "Fen Brown (invented)": f"{_HEAD}Aqua, CI 77266, CI 77492, CI 77491, CI 77499, Phenoxyethanol{_NICKEL}",
    "Moss Grey (invented)": "Woda, sadza, czarny tlenek żelaza, czerwony tlenek żelaza, gliceryna",
}
BOTTLES = {
    "Umber Nine (invented)": [
        Bottle(pigment_id=0, batch="UN-204", opened_on=date(2026, 5, 4), months_after_opening=12)
    ],
    "Russet Four (invented)": [
        Bottle(pigment_id=0, batch="RF-118", opened_on=date(2023, 2, 6), empty_on=date(2024, 1, 15)),
        Bottle(pigment_id=0, batch="RF-131", expires_on=date(2028, 6, 30)),
    ],
    "Night Ink (invented)": [Bottle(pigment_id=0, batch="NI-077", expires_on=date(2025, 11, 30))],
    "Fen Brown (invented)": [Bottle(pigment_id=0, batch="FB-300", opened_on=date(2025, 3, 1), months_after_opening=12)],
}


def stock(rows: DatabaseSession, pigment: Pigment) -> None:
    """Give a demo pigment its label, constituents and bottles; one that is not of the demo is left alone."""
    if pigment.name not in LABELS or pigment.label:
        return
    label = LABELS[pigment.name]
    read = understood(rows, label)
    keep_label(rows, pigment, label, read)
    settle_family(pigment, read)
    for told in BOTTLES.get(pigment.name, ()):
        rows.add(Bottle(**told.model_dump(exclude={"id", "pigment_id"}), pigment_id=pigment.id or 0))
    rows.flush()
