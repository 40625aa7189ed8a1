"""The tables. Every change here needs a migration in migrations/versions."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import JSON, CheckConstraint, Column, MetaData, UniqueConstraint
from sqlmodel import Field, SQLModel

from webapp.records.words import FAMILIES, SESSION_KINDS, SITES, STUDIO_KINDS, TECHNIQUES

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


class Studio(SQLModel, table=True):
    """Whose data this folder holds: one row, so that own data and demo data cannot mix."""

    __table_args__ = (_one_of("kind", STUDIO_KINDS),)
    id: int | None = Field(default=None, primary_key=True)
    kind: str


class Client(SQLModel, table=True):
    """A person; an alias or code is enough."""

    id: int | None = Field(default=None, primary_key=True)
    alias: str = Field(unique=True)
    skin_notes: str = ""
    created_at: datetime


class Consent(SQLModel, table=True):
    """A client's leave to keep photos: when it was given, for what, and when it was withdrawn."""

    id: int | None = Field(default=None, primary_key=True)
    client_id: int = Field(foreign_key="client.id", index=True, ondelete="CASCADE")
    scope: str
    given_on: date
    withdrawn_on: date | None = None


class Work(SQLModel, table=True):
    """One piece of cosmetic tattooing on one site of one client."""

    __table_args__ = (_one_of("site", SITES),)
    id: int | None = Field(default=None, primary_key=True)
    client_id: int = Field(foreign_key="client.id", index=True, ondelete="CASCADE")
    site: str
    note: str = ""
    created_at: datetime


class Pigment(SQLModel, table=True):
    """A bottle's formula: its name and the family that its constituents make it."""

    __table_args__ = (_one_of("family", FAMILIES),)
    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(unique=True)
    family: str
    note: str = ""


class Session(SQLModel, table=True):
    """One appointment in which pigment is added or removed."""

    __table_args__ = (_one_of("kind", SESSION_KINDS), _one_of("technique", TECHNIQUES))
    id: int | None = Field(default=None, primary_key=True)
    work_id: int = Field(foreign_key="work.id", index=True, ondelete="CASCADE")
    kind: str
    on_date: date
    artist: str = ""
    technique: str
    note: str = ""


class SessionPigment(SQLModel, table=True):
    """A pigment that was used in a session."""

    session_id: int = Field(foreign_key="session.id", primary_key=True, ondelete="CASCADE")
    pigment_id: int = Field(foreign_key="pigment.id", primary_key=True)


class Card(SQLModel, table=True):
    """A grey card: the true CIELAB of its patches, [[L, a, b], …], and whether they are known or assumed."""

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(unique=True)
    patches: list[list[float]] = Field(sa_column=Column(JSON, nullable=False))
    values_known: bool = False
    note: str = ""


class PhotoFile(SQLModel, table=True):
    """A stored photo file, named by its SHA-256. It belongs to one client; several works may be on it."""

    id: int | None = Field(default=None, primary_key=True)
    client_id: int = Field(foreign_key="client.id", index=True, ondelete="CASCADE")
    sha256: str = Field(unique=True)
    size: int
    width: int
    height: int
    taken_on: date | None = None
    stored_at: datetime


class FollowUp(SQLModel, table=True):
    """A healed photo of one work, with what is marked on it. Without a measurement it is unfinished."""

    __table_args__ = (UniqueConstraint("work_id", "photo_id", name="uq_follow_up_photo_once_a_work"),)
    __tablename__ = "follow_up"
    id: int | None = Field(default=None, primary_key=True)
    work_id: int = Field(foreign_key="work.id", index=True, ondelete="CASCADE")
    photo_id: int = Field(foreign_key="photofile.id", index=True, ondelete="CASCADE")
    card_id: int = Field(foreign_key="card.id")
    on_date: date
    note: str = ""
    card_patches: list[list[list[float]]] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    outline: list[list[float]] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
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
    skin_lab: list[float] | None = Field(default=None, sa_column=Column(JSON(none_as_null=True)))
    skin_spread: list[list[float]] | None = Field(default=None, sa_column=Column(JSON(none_as_null=True)))
    skin_shared: list[list[float]] | None = Field(default=None, sa_column=Column(JSON(none_as_null=True)))
    skin_pixels: int = 0
    grade: str
    reasons: list[str] = Field(sa_column=Column(JSON, nullable=False))
    patches: int
    residual: float
    method: str
    measured_at: datetime
