"""The tables. Every change here needs a migration in migrations/versions."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import JSON, CheckConstraint, Column, MetaData, UniqueConstraint
from sqlmodel import Field, SQLModel

from webapp.records.words import (
    AGE_BANDS,
    AIM_SOURCES,
    CONSENT_SCOPES,
    DAY_SOURCES,
    FAMILIES,
    HANDS,
    IMPORT_STATES,
    OUTLINE_SOURCES,
    ROLES,
    SESSION_KINDS,
    SITES,
    SKIN_QUALITIES,
    SKIN_TYPES,
    STUDIO_KINDS,
    TECHNIQUES,
)

SQLModel.metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _one_of(column: str, words: tuple[str, ...]) -> CheckConstraint:
    return CheckConstraint(f"{column} IN ({', '.join(repr(w) for w in words)})", name=f"{column}_known")


def _one_of_or_empty(column: str, words: tuple[str, ...]) -> CheckConstraint:
    return _one_of(column, ("", *words))


def _json_or_none() -> Column[object]:
    return Column(JSON(none_as_null=True))


class Studio(SQLModel, table=True):
    """Whose data this folder holds: one row, so that own data and demo data cannot mix."""

    __table_args__ = (_one_of("kind", STUDIO_KINDS),)
    id: int | None = Field(default=None, primary_key=True)
    kind: str


class StudioSetting(SQLModel, table=True):
    """A setting of the studio that differs from the default, such as a threshold or an interval."""

    name: str = Field(primary_key=True)
    value: object = Field(sa_column=Column(JSON, nullable=False))


class Client(SQLModel, table=True):
    """A person; an alias or code is enough. What the artist says of the skin stands beside what is measured."""

    __table_args__ = (
        _one_of_or_empty("skin_type", SKIN_TYPES),
        _one_of_or_empty("age_band", AGE_BANDS),
        _one_of_or_empty("skin_quality", SKIN_QUALITIES),
    )
    id: int | None = Field(default=None, primary_key=True)
    alias: str = Field(unique=True)
    skin_notes: str = ""
    skin_type: str = ""
    undertone: str = ""
    age_band: str = ""
    skin_quality: str = ""
    created_at: datetime


class Questioning(SQLModel, table=True):
    """Contraindications as they were asked on a day: {question: answer} in the artist's words."""

    id: int | None = Field(default=None, primary_key=True)
    client_id: int = Field(foreign_key="client.id", index=True, ondelete="CASCADE")
    asked_on: date
    answers: dict[str, str] = Field(default_factory=dict, sa_column=Column(JSON, nullable=False))
    note: str = ""


class Consent(SQLModel, table=True):
    """A client's leave: for what, when it was given, and when it was withdrawn."""

    __table_args__ = (_one_of("scope", CONSENT_SCOPES),)
    id: int | None = Field(default=None, primary_key=True)
    client_id: int = Field(foreign_key="client.id", index=True, ondelete="CASCADE")
    scope: str
    given_on: date
    withdrawn_on: date | None = None
    note: str = ""


class Work(SQLModel, table=True):
    """One piece of cosmetic tattooing on one site of one client, and the colour agreed as its aim."""

    __table_args__ = (_one_of("site", SITES), _one_of_or_empty("aim_from", AIM_SOURCES))
    id: int | None = Field(default=None, primary_key=True)
    client_id: int = Field(foreign_key="client.id", index=True, ondelete="CASCADE")
    site: str
    note: str = ""
    aim_lab: list[float] | None = Field(default=None, sa_column=_json_or_none())
    aim_from: str = ""
    aim_agreed_on: date | None = None
    aim_note: str = ""
    created_at: datetime


class Pigment(SQLModel, table=True):
    """A bottle's formula: its names, the label's own words, and the family that its constituents make it.

    `family` is the one in use; `family_because` is the artist's reason where she overruled the derived one.
    """

    __table_args__ = (_one_of("family", FAMILIES),)
    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(unique=True)
    shade: str = ""
    maker: str = ""
    label: str = ""
    family: str
    family_because: str = ""
    sites: list[str] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    note: str = ""


class Constituent(SQLModel, table=True):
    """One constituent of a pigment in the label's order, its text as printed kept."""

    __table_args__ = (_one_of("role", ROLES),)
    id: int | None = Field(default=None, primary_key=True)
    pigment_id: int = Field(foreign_key="pigment.id", index=True, ondelete="CASCADE")
    position: int
    text: str
    colour_index: str = ""
    share_percent: float | None = None
    role: str = "unknown"


class Bottle(SQLModel, table=True):
    """A bottle of a pigment, with what its label and the artist say of its age."""

    id: int | None = Field(default=None, primary_key=True)
    pigment_id: int = Field(foreign_key="pigment.id", index=True, ondelete="CASCADE")
    batch: str = ""
    opened_on: date | None = None
    expires_on: date | None = None
    months_after_opening: int | None = None
    empty_on: date | None = None
    note: str = ""


class Swatch(SQLModel, table=True):
    """A smear of a pigment beside the card: what is marked on the photo, and the colour measured."""

    id: int | None = Field(default=None, primary_key=True)
    pigment_id: int = Field(foreign_key="pigment.id", index=True, ondelete="CASCADE")
    photo_id: int = Field(foreign_key="photofile.id", index=True, ondelete="CASCADE")
    card_id: int = Field(foreign_key="card.id")
    on_date: date
    note: str = ""
    card_patches: list[list[list[float]]] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    outline: list[list[float]] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    lab: list[float] | None = Field(default=None, sa_column=_json_or_none())
    spread: list[list[float]] | None = Field(default=None, sa_column=_json_or_none())
    shared: list[list[float]] | None = Field(default=None, sa_column=_json_or_none())
    grade: str = ""
    reasons: list[str] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    created_at: datetime


class Session(SQLModel, table=True):
    """One appointment in which pigment is added or removed, or the earlier work of someone else.

    `diluted_parts` are parts of diluent to the pigments' own parts. The baseline of the cycle that begins here is
    derived, unless the artist set another, with her reason.
    """

    __table_args__ = (
        _one_of("kind", SESSION_KINDS),
        _one_of("technique", TECHNIQUES),
        _one_of_or_empty("hand", HANDS),
    )
    id: int | None = Field(default=None, primary_key=True)
    work_id: int = Field(foreign_key="work.id", index=True, ondelete="CASCADE")
    kind: str
    on_date: date
    day_is_rough: bool = False
    artist: str = ""
    technique: str
    hand: str = ""
    diluted_parts: float | None = None
    baseline_follow_up_id: int | None = Field(default=None, foreign_key="follow_up.id", ondelete="SET NULL")
    baseline_because: str = ""
    note: str = ""


class SessionPigment(SQLModel, table=True):
    """A pigment that was used in a session: from which bottle, and how many parts of the mix."""

    session_id: int = Field(foreign_key="session.id", primary_key=True, ondelete="CASCADE")
    pigment_id: int = Field(foreign_key="pigment.id", primary_key=True)
    bottle_id: int | None = Field(default=None, foreign_key="bottle.id", ondelete="SET NULL")
    parts: float | None = None


class Card(SQLModel, table=True):
    """A grey card: the true CIELAB of its patches, [[L, a, b], …], and whether they are known or assumed.

    `printed_id` is the id that a printed strip's codes carry. `patch_sd` are the standard deviations of the patches'
    values, one [L, a, b] each; None where they are not known.
    """

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(unique=True)
    patches: list[list[float]] = Field(sa_column=Column(JSON, nullable=False))
    values_known: bool = False
    note: str = ""
    kind: str = ""
    printed_id: str = ""
    values_from: str = ""
    patch_sd: list[list[float]] | None = Field(default=None, sa_column=_json_or_none())


class CardPhoto(SQLModel, table=True):
    """A photo of a new card beside a known one, with what is marked on it; `card_id` once its values are kept."""

    __tablename__ = "card_photo"
    id: int | None = Field(default=None, primary_key=True)
    photo_id: int = Field(foreign_key="photofile.id", index=True, ondelete="CASCADE")
    known_card_id: int = Field(foreign_key="card.id")
    card_id: int | None = Field(default=None, foreign_key="card.id")
    name: str
    kind: str
    printed_id: str = ""
    note: str = ""
    steps: int
    known_corners: list[list[float]] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    new_corners: list[list[float]] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    created_at: datetime


class PhotoFile(SQLModel, table=True):
    """A stored photo file, named by its SHA-256. It belongs to one client; several works may be on it.

    A photo without a client shows no person: a swatch, or a card beside another.
    """

    id: int | None = Field(default=None, primary_key=True)
    client_id: int | None = Field(default=None, foreign_key="client.id", index=True, ondelete="CASCADE")
    sha256: str = Field(unique=True)
    size: int
    width: int
    height: int
    taken_on: date | None = None
    stored_at: datetime


class FollowUp(SQLModel, table=True):
    """A healed photo of one work, with what is marked on it. Without a measurement it is unfinished."""

    __table_args__ = (
        UniqueConstraint("work_id", "photo_id", name="uq_follow_up_photo_once_a_work"),
        _one_of_or_empty("outline_from", OUTLINE_SOURCES),
    )
    __tablename__ = "follow_up"
    id: int | None = Field(default=None, primary_key=True)
    work_id: int = Field(foreign_key="work.id", index=True, ondelete="CASCADE")
    photo_id: int = Field(foreign_key="photofile.id", index=True, ondelete="CASCADE")
    card_id: int = Field(foreign_key="card.id")
    on_date: date
    note: str = ""
    card_patches: list[list[list[float]]] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    outline: list[list[float]] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    outline_from: str = ""
    outline_confidence: float | None = None
    taken_in_because: str = ""
    created_at: datetime


class MeasurementRow(SQLModel, table=True):
    """The measurement of a follow-up: colours, covariances, quality, and the method that gave them."""

    __tablename__ = "measurement"
    id: int | None = Field(default=None, primary_key=True)
    follow_up_id: int = Field(foreign_key="follow_up.id", unique=True, ondelete="CASCADE")
    pigment_lab: list[float] = Field(sa_column=Column(JSON, nullable=False))
    pigment_spread: list[list[float]] = Field(sa_column=Column(JSON, nullable=False))
    pigment_shared: list[list[float]] = Field(sa_column=Column(JSON, nullable=False))
    pigment_pixels: int
    outline_lab: list[float] | None = Field(default=None, sa_column=_json_or_none())
    outline_spread: list[list[float]] | None = Field(default=None, sa_column=_json_or_none())
    outline_shared: list[list[float]] | None = Field(default=None, sa_column=_json_or_none())
    skin_lab: list[float] | None = Field(default=None, sa_column=_json_or_none())
    skin_spread: list[list[float]] | None = Field(default=None, sa_column=_json_or_none())
    skin_shared: list[list[float]] | None = Field(default=None, sa_column=_json_or_none())
    skin_pixels: int = 0
    grade: str
    reasons: list[str] = Field(sa_column=Column(JSON, nullable=False))
    patches: int
    residual: float
    method: str
    measured_at: datetime


class PhotoImport(SQLModel, table=True):
    """A folder of old photos on its way into the records; the row goes once the artist puts the list away."""

    __tablename__ = "photo_import"
    id: int | None = Field(default=None, primary_key=True)
    created_at: datetime


class PhotoImportItem(SQLModel, table=True):
    """One photo of an import: its name in the folder, what it is taken for, and how far it is.

    `sentence` says why it was refused. The photo itself is not here: it comes in with its follow-up.
    """

    __tablename__ = "photo_import_item"
    __table_args__ = (
        UniqueConstraint("import_id", "path", name="uq_photo_import_item_once"),
        _one_of_or_empty("site", SITES),
        _one_of("state", IMPORT_STATES),
        _one_of_or_empty("day_from", DAY_SOURCES),
    )
    id: int | None = Field(default=None, primary_key=True)
    import_id: int = Field(foreign_key="photo_import.id", index=True, ondelete="CASCADE")
    path: str
    size: int
    client_id: int | None = Field(default=None, foreign_key="client.id", index=True, ondelete="SET NULL")
    site: str = ""
    on_date: date | None = None
    day_from: str = ""
    card_id: int | None = Field(default=None, foreign_key="card.id", ondelete="SET NULL")
    state: str
    sentence: str = ""
