"""What every column means, for whoever reads the tables outside the almanac."""

from __future__ import annotations

_LAB = "CIELAB 1976 (D65, 2° observer) as [L*, a*, b*]"
_OWN = "3 × 3 covariance of that colour from its own pixels"
_SHARED = "3 × 3 covariance of that colour from what everything in the photo shares (card, light, camera)"
_MARKS = "marked card patches: four corners [x, y] each, in pixels of the upright photo, origin top left"
_OUTLINE = "the outline: points [x, y] in pixels of the upright photo, origin top left"
_DAY = "year-month-day"
_MOMENT = "moment of entry, UTC"

COLUMNS: dict[str, dict[str, str]] = {
    "studiosetting": {"name": "which setting", "value": "its value, where it differs from the default"},
    "client": {
        "id": "the client's number",
        "alias": "alias or code",
        "skin_notes": "the artist's words on the skin",
        "skin_type": "phototype after Fitzpatrick, I to VI; empty: not noted",
        "undertone": "the artist's word for the undertone",
        "age_band": "age in years, roughly; empty: not noted",
        "skin_quality": "thin, mature, both or neither; empty: not noted",
        "created_at": _MOMENT,
    },
    "questioning": {
        "id": "number",
        "client_id": "whose: client.id",
        "asked_on": f"day on which contraindications were asked, {_DAY}",
        "answers": "question: answer, in the artist's words",
        "note": "note",
    },
    "consent": {
        "id": "number",
        "client_id": "whose: client.id",
        "scope": "what was agreed to: photo storage, studio statistics or teaching",
        "given_on": f"{_DAY}",
        "withdrawn_on": f"{_DAY}; empty: in force",
        "note": "note",
    },
    "work": {
        "id": "the work's number",
        "client_id": "whose: client.id",
        "site": "where on the face",
        "note": "note",
        "aim_lab": f"the agreed aim, {_LAB}; empty: none agreed",
        "aim_from": "where the aim was taken from: photo, swatch or baseline",
        "aim_agreed_on": f"day of the client's agreement, {_DAY}",
        "aim_note": "note on the aim",
        "created_at": _MOMENT,
    },
    "pigment": {
        "id": "the pigment's number",
        "name": "label name",
        "shade": "the maker's shade name",
        "maker": "the maker, as written",
        "label": "the label's text as printed",
        "family": "carbon/organic, inorganic, hybrid or unknown, as it is used",
        "family_because": "the artist's reason where she overruled the derived family; empty: derived",
        "sites": "what it is meant for",
        "note": "note",
    },
    "constituent": {
        "id": "number",
        "pigment_id": "of which pigment: pigment.id",
        "position": "place in the label's order",
        "text": "as printed",
        "colour_index": "Colour Index number; empty: none known",
        "share_percent": "stated share in per cent; empty: not stated",
        "role": "colourant, carrier, preservative, other or unknown",
    },
    "bottle": {
        "id": "the bottle's number",
        "pigment_id": "of which pigment: pigment.id",
        "batch": "batch number as printed",
        "opened_on": f"{_DAY}; empty: unopened",
        "expires_on": f"stated expiry, {_DAY}",
        "months_after_opening": "stated shelf life once opened, months",
        "empty_on": f"{_DAY}; empty: still in use",
        "note": "note",
    },
    "swatch": {
        "id": "number",
        "pigment_id": "of which pigment: pigment.id",
        "photo_id": "on which photo: photofile.id",
        "card_id": "with which card: card.id",
        "on_date": _DAY,
        "note": "note",
        "card_patches": _MARKS,
        "outline": _OUTLINE,
        "lab": f"colour of the smear, {_LAB}; empty: not measured yet",
        "spread": _OWN,
        "shared": _SHARED,
        "grade": "good, usable or retake",
        "reasons": "why, in sentences",
        "created_at": _MOMENT,
    },
    "session": {
        "id": "the session's number",
        "work_id": "of which work: work.id",
        "kind": "what was done",
        "on_date": _DAY,
        "day_is_rough": "1 where the day is known roughly only",
        "artist": "who",
        "technique": "how",
        "hand": "light, medium or heavy; empty: not noted",
        "diluted_parts": "parts of diluent to the pigments' own parts; empty: not noted",
        "baseline_follow_up_id": "the follow-up set as baseline by the artist: follow_up.id; empty: derived",
        "baseline_because": "her reason",
        "note": "note",
    },
    "sessionpigment": {
        "session_id": "in which session: session.id",
        "pigment_id": "which pigment: pigment.id",
        "bottle_id": "from which bottle: bottle.id; empty: not noted",
        "parts": "parts of the mix; empty: not noted",
    },
    "card": {
        "id": "the card's number",
        "name": "its name",
        "patches": f"the true colours of its patches, each {_LAB}",
        "values_known": "1 where they are from an instrument or the maker, 0 where assumed",
        "note": "note",
    },
    "photofile": {
        "id": "the photo's number",
        "client_id": "whose: client.id; empty: it shows no person",
        "sha256": "SHA-256 of the file; its name in the folder photos begins with it",
        "size": "bytes",
        "width": "pixels across, upright",
        "height": "pixels down, upright",
        "taken_on": f"day noted by the camera, {_DAY}",
        "stored_at": _MOMENT,
    },
    "follow_up": {
        "id": "the follow-up's number",
        "work_id": "of which work: work.id",
        "photo_id": "on which photo: photofile.id",
        "card_id": "with which card: card.id",
        "on_date": _DAY,
        "note": "note",
        "card_patches": _MARKS,
        "outline": _OUTLINE,
        "outline_from": "drawn, proposed or carried over; empty: not noted",
        "outline_confidence": "0 to 1, of a proposed or carried-over outline",
        "taken_in_because": "the artist's reason for judging by a photo graded retake",
        "created_at": _MOMENT,
    },
    "measurement": {
        "id": "number",
        "follow_up_id": "of which follow-up: follow_up.id",
        "pigment_lab": f"pigmented skin, {_LAB}",
        "pigment_spread": _OWN,
        "pigment_shared": _SHARED,
        "pigment_pixels": "how many pixels of the photo that is",
        "outline_lab": f"mean over the outline without hair and glare, {_LAB}",
        "outline_spread": _OWN,
        "outline_shared": _SHARED,
        "skin_lab": f"bare skin beside the work, {_LAB}; empty: none found",
        "skin_spread": _OWN,
        "skin_shared": _SHARED,
        "skin_pixels": "how many pixels of the photo that is",
        "grade": "good, usable or retake",
        "reasons": "why, in sentences",
        "patches": "card patches that the balance rests on",
        "residual": "what the balance leaves unexplained, ln of light",
        "method": "the method's name and version",
        "measured_at": _MOMENT,
    },
}


def describe_columns() -> str:
    """Give the README that goes with the tables: one section a table, one line a column."""
    parts = [
        "The Healed Colour Almanac: the studio's tables",
        "",
        "One CSV file a table, UTF-8, a comma between columns, the first line names them. An empty cell is nothing",
        "noted. Lists and covariances stand in their cell as JSON. A text that begins with = + - @ is preceded by an",
        "apostrophe, so that a spreadsheet does not take it for a formula.",
    ]
    for table, columns in COLUMNS.items():
        parts += ["", f"{table}.csv", *(f"  {name}: {meaning}" for name, meaning in columns.items())]
    return "\n".join(parts) + "\n"
