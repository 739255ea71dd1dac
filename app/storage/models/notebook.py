"""The notebook: photos, what an adult said of helpers' notes, and a teacher's private notes."""

from datetime import datetime

from sqlalchemy import (
    CheckConstraint,
    ForeignKey,
    Index,
    LargeBinary,
    String,
    Text,
    UniqueConstraint,
)
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base, Typed


class Photo(Base):
    """A photo of the tank, written anew without anything but its pixels.

    Its bytes are loaded only when shown, and are NULL once it was taken back: then they are
    really gone. A helper's photo waits until an adult shows it.
    """

    __tablename__ = "photo"
    __table_args__ = (
        CheckConstraint("state IN ('waiting','shown','refused','withdrawn')", name="state"),
        CheckConstraint("width > 0 AND height > 0", name="size"),
        UniqueConstraint("tank_id", "token"),
        Index("ix_photo_tank_id_taken_at", "tank_id", "taken_at"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"))
    entry_id: Mapped[int | None] = mapped_column(ForeignKey("entry.id"), index=True)
    taken_at: Mapped[datetime]
    added_at: Mapped[datetime]
    author_id: Mapped[int] = mapped_column(ForeignKey("author.id"), index=True)
    token: Mapped[str] = mapped_column(String(64))
    spot: Mapped[str] = mapped_column(Typed(40), default="")
    caption: Mapped[str] = mapped_column(Typed(200), default="")
    state: Mapped[str] = mapped_column(String(9), default="waiting")
    decided_by_id: Mapped[int | None] = mapped_column(ForeignKey("author.id"))
    decided_at: Mapped[datetime | None]
    width: Mapped[int]
    height: Mapped[int]
    sha256: Mapped[str] = mapped_column(String(64), default="")
    picture: Mapped[bytes | None] = mapped_column(LargeBinary, deferred=True)
    small: Mapped[bytes | None] = mapped_column(LargeBinary, deferred=True)


class NoteApproval(Base):
    """What an adult decided about the note of a helper's entry; no row: it waits."""

    __tablename__ = "note_approval"

    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), primary_key=True)
    shown: Mapped[bool]
    by_id: Mapped[int] = mapped_column(ForeignKey("author.id"))
    at: Mapped[datetime]


class PrivateNote(Base):
    """A note that only adults with the whole record see; it is in no export, link or archive."""

    __tablename__ = "private_note"

    id: Mapped[int] = mapped_column(primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), index=True)
    author_id: Mapped[int] = mapped_column(ForeignKey("author.id"))
    written_at: Mapped[datetime]
    text: Mapped[str] = mapped_column(Text)


class PhotoMeasure(Base):
    """Where a length was read in a photo: four points in shares of its width and height."""

    __tablename__ = "photo_measure"

    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), primary_key=True)
    photo_id: Mapped[int] = mapped_column(ForeignKey("photo.id"), index=True)
    ruler_cm: Mapped[float]
    points: Mapped[str] = mapped_column(String(120))
