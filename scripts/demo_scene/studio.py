"""The invented studio: its people, pigments, works and the days on which photos were taken.

Nobody here exists. Half-lives and habits of pigments: see ageing.py.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

from demo_scene.brow import BrowShape
from demo_scene.eyeliner import LinerShape
from demo_scene.skin import SkinKind

INES, TAMSIN = "Artist Ines (invented)", "Artist Tamsin (invented)"

INVENTED = (
    "Everything here is invented: the people, the artists, the pigments and the dates do not exist; the photographs "
    "are rendered from reflectance spectra by scripts/make_demo_photos.py."
)


@dataclass(frozen=True)
class Pigment:
    family: str
    amounts: dict[str, float]  # at full depth, freshly healed


PIGMENTS: dict[str, Pigment] = {
    "Umber Nine (invented)": Pigment("inorganic", {"black oxide": 0.54, "yellow oxide": 0.13, "red oxide": 0.15}),
    "Russet Four (invented)": Pigment("inorganic", {"black oxide": 0.72, "yellow oxide": 0.06, "red oxide": 0.32}),
    "Clay Two (invented)": Pigment("inorganic", {"black oxide": 0.34, "yellow oxide": 0.15, "red oxide": 0.11}),
    "Walnut Ink (invented)": Pigment("carbon/organic", {"carbon": 0.62, "organic orange": 0.30}),
    "Night Ink (invented)": Pigment("carbon/organic", {"carbon": 1.65, "organic orange": 0.06}),
    "Fen Brown (invented)": Pigment(
        "hybrid", {"carbon": 0.46, "yellow oxide": 0.11, "red oxide": 0.11, "black oxide": 0.06}
    ),
    "Moss Grey (invented)": Pigment("hybrid", {"carbon": 0.75, "black oxide": 0.22, "red oxide": 0.10}),
}


@dataclass(frozen=True)
class Session:
    kind: str
    on: date
    artist: str
    technique: str
    pigments: tuple[str, ...]
    strength: float = 1.0
    notes: str = ""


@dataclass(frozen=True)
class Visit:
    on: date
    fault: str = ""  # "", "half shadow", "blurred", "orange cast"
    tan: float = 0.0
    healing: bool = False
    card: str = "single"
    notes: str = ""


@dataclass(frozen=True)
class Work:
    site: str
    shape: BrowShape | LinerShape
    sessions: tuple[Session, ...]
    visits: tuple[Visit, ...]
    seed: int
    hold: float = 1.0
    ash: float = 0.0
    faster: dict[str, float] = field(default_factory=dict)
    note: str = ""


@dataclass(frozen=True)
class Client:
    alias: str
    skin: SkinKind
    skin_notes: str
    consent_on: date
    works: tuple[Work, ...]


def after(start: date, *months: float) -> list[date]:
    """Visits some months after a session, never on a Sunday."""
    days = [start + timedelta(days=round(m * 30.44)) for m in months]
    return [d + timedelta(days=1) if d.weekday() == 6 else d for d in days]


def visits(start: date, *months: float, steps: tuple[int, ...] = ()) -> tuple[Visit, ...]:
    """Plain visits; those numbered in steps have the five-step strip beside the work."""
    days = enumerate(after(start, *months))
    return tuple(
        Visit(d, card="steps" if i in steps else ("plain" if (i + start.day) % 3 == 0 else "single")) for i, d in days
    )


def _juniper() -> Client:
    left, right = date(2023, 3, 2), date(2023, 3, 2)
    boost = date(2024, 9, 12)
    umber = ("Umber Nine (invented)",)
    return Client(
        "Juniper",
        SkinKind("subject_95", melanin=0.04, freckles=0.16, hair=1.5, pores=0.9, lines=0.3),
        "invented; light skin with freckles, a little oily",
        left,
        (
            Work(
                "left brow",
                BrowShape(50, 8.6, 6.5, 0.63, 109),
                (
                    Session(
                        "first session",
                        left,
                        INES,
                        "powder brow",
                        ("Russet Four (invented)",),
                        1.0,
                        "two passes",
                    ),
                ),
                (
                    Visit(left + timedelta(days=10), healing=True, notes="ten days after, still healing"),
                    *visits(left, 1.5, 3.1, 6.2, 12.1, 18.3, 24.2, 36.0, steps=(1,)),
                ),
                101,
                faster={"black oxide": 1.7, "red oxide": 0.22},
                note="iron oxides only",
            ),
            Work(
                "right brow",
                BrowShape(49.2, 8.4, 6.2, 0.62, 104),
                (
                    Session("first session", right, INES, "powder brow", umber, 0.9),
                    Session(
                        "colour boost",
                        boost,
                        TAMSIN,
                        "powder brow",
                        ("Fen Brown (invented)",),
                        0.6,
                        "asked for cooler",
                    ),
                ),
                (*visits(right, 1.6, 6.3, 14.2), *visits(boost, 1.5, 9.0, 17.9)),
                102,
                faster={"black oxide": 1.4, "red oxide": 0.35},
            ),
        ),
    )


def _heron() -> Client:
    start = date(2023, 5, 16)
    first = Session(
        "first session", start, TAMSIN, "ombré brow", ("Walnut Ink (invented)",), 1.15, "dense, as she wished"
    )
    work = Work(
        "left brow",
        BrowShape(52, 9.0, 5.2, 0.66, 88),
        (first,),
        visits(start, 1.5, 3.0, 6.1, 12.0, 18.1, 24.3, 36.2, steps=(4,)),
        201,
        0.9,
        0.07,
        note="dense carbon work",
    )
    skin = SkinKind("subject_46", melanin=0.07, pores=1.25, hair=0.8, lines=0.6, oil=1.0)
    return Client("Heron", skin, "invented; medium skin, visible pores", start, (work,))


def _sorrel() -> Client:
    start, second = date(2024, 1, 23), date(2024, 3, 19)
    fen = ("Fen Brown (invented)",)
    right = Work(
        "right brow",
        BrowShape(47, 7.8, 5.8, 0.64, 120),
        (
            Session("first session", start, TAMSIN, "microblading", fen, 1.0),
            Session("touch-up", second, TAMSIN, "microblading", fen, 0.35),
        ),
        (*visits(start, 1.5), *visits(second, 1.6, 6.0, 12.2, 21.0, steps=(2,))),
        301,
        4.0,
    )
    left = Work(
        "left brow",
        BrowShape(47.5, 7.9, 5.9, 0.64, 114),
        (Session("first session", start, TAMSIN, "microblading", fen, 1.2),),
        visits(start, 1.5, 7.6, 14.3),
        302,
        4.0,
    )
    skin = SkinKind("subject_88", melanin=0.01, freckles=0.06, pores=0.7, lines=0.25, redness=1.3, hair=1.6, oil=0.8)
    return Client("Sorrel", skin, "invented; very light, thin, reddens easily", start, (right, left))


def _bramble() -> Client:
    start, boost = date(2023, 8, 8), date(2025, 1, 14)
    umber = ("Umber Nine (invented)",)
    work = Work(
        "left brow",
        BrowShape(51, 8.8, 6.8, 0.62, 125),
        (
            Session("first session", start, INES, "ombré brow", umber, 1.35),
            Session("colour boost", boost, INES, "ombré brow", ("Moss Grey (invented)",), 0.55),
        ),
        (*visits(start, 1.6, 6.0, 12.1, 16.8), *visits(boost, 1.5, 6.2, 14.0, steps=(1,))),
        401,
        0.9,
    )
    skin = SkinKind("subject_39", melanin=0.74, pores=1.2, lines=0.4, redness=0.8, hair=0.55, oil=1.15)
    return Client("Bramble", skin, "invented; dark skin with a warm undertone, oily", start, (work,))


def _plover() -> Client:
    start = date(2023, 10, 10)
    night = ("Night Ink (invented)",)
    left = Work(
        "left upper eyeliner",
        LinerShape(2.9, 4.6, 118),
        (Session("first session", start, INES, "eyeliner", night, 1.0),),
        visits(start, 1.5, 6.1, 12.0, 24.1, steps=(2,)),
        501,
        2.0,
    )
    right = Work(
        "right upper eyeliner",
        LinerShape(2.8, 4.2, 124),
        (Session("first session", start, INES, "eyeliner", night, 0.95),),
        visits(start, 1.5, 6.1, 18.4),
        502,
        2.0,
    )
    skin = SkinKind("subject_20", melanin=0.05, pores=0.7, lines=0.5, oil=0.9)
    return Client("Plover", skin, "invented; light to medium, fine dry lids", start, (left, right))


def _marlow() -> Client:
    start = date(2024, 6, 4)
    first = Session("first session", start, TAMSIN, "combination", ("Fen Brown (invented)",), 1.25)
    days = after(start, 1.5, 3.2, 8.0, 13.7, 20.0)
    work = Work(
        "right brow",
        BrowShape(49, 9.2, 4.6, 0.67, 130),
        (first,),
        (
            Visit(days[0]),
            Visit(days[1], tan=0.20, notes="back from the sea, tanned"),
            Visit(days[2], card="steps"),
            Visit(days[3], tan=0.26, card="plain", notes="summer, tanned"),
            Visit(days[4]),
        ),
        601,
        1.6,
    )
    skin = SkinKind("subject_66", melanin=0.06, pores=1.1, lines=0.5, oil=1.1)
    return Client("Marlow", skin, "invented; light, tans quickly", start, (work,))


def _tansy() -> Client:
    start = date(2024, 2, 13)
    days = after(start, 1.5, 4.0, 9.1, 15.2, 22.0)
    work = Work(
        "left brow",
        BrowShape(48, 7.6, 5.6, 0.61, 99),
        (Session("first session", start, INES, "powder brow", ("Clay Two (invented)",), 1.15, "diluted"),),
        (
            Visit(days[0]),
            Visit(days[1], card="plain"),
            Visit(days[2], fault="half shadow", notes="a hand's shadow on the card"),
            Visit(days[3], card="plain"),
            Visit(days[4]),
        ),
        701,
        0.55,
        faster={"red oxide": 1.8},
    )
    skin = SkinKind("subject_86", melanin=0.04, pores=0.8, lines=1.3, redness=1.25, oil=0.7)
    return Client("Tansy", skin, "invented; light, mature, thin and dry", start, (work,))


def _wren() -> Client:
    start = date(2026, 2, 17)
    work = Work(
        "right upper eyeliner",
        LinerShape(2.5, 3.6, 112),
        (Session("first session", start, TAMSIN, "eyeliner", ("Moss Grey (invented)",), 1.15),),
        (
            Visit(after(start, 1.5)[0], notes="hybrid liner"),
            Visit(after(start, 5.8)[0], fault="orange cast", card="plain", notes="evening lamp only"),
        ),
        801,
        1.3,
    )
    skin = SkinKind("subject_75", melanin=0.10, pores=0.8, lines=0.4, oil=1.1)
    return Client("Wren", skin, "invented; medium, olive undertone", start, (work,))


def all_clients() -> list[Client]:
    return [_juniper(), _heron(), _sorrel(), _bramble(), _plover(), _marlow(), _tansy(), _wren()]
