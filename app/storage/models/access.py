"""Who writes and who is signed in: adults with their tanks, authors, sessions."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base


class Person(Base):
    """An adult; without `all_tanks` only those of `tank_access`; `ended_at`: came no more."""

    __tablename__ = "person"
    __table_args__ = (
        CheckConstraint("role IN ('keeper','technician','coordinator')", name="role"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    role: Mapped[str] = mapped_column(String(11), default="keeper")
    passphrase_hash: Mapped[str] = mapped_column(String(200), default="")
    all_tanks: Mapped[bool] = mapped_column(default=True)
    ended_at: Mapped[datetime | None]


class TankAccess(Base):
    """A tank that an adult looks after, for whoever has not `all_tanks`."""

    __tablename__ = "tank_access"

    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), primary_key=True, index=True)


class Author(Base):
    """Whoever wrote something: one row per adult, tile, link or import. Renaming is one row."""

    __tablename__ = "author"
    __table_args__ = (
        CheckConstraint("kind IN ('adult','helper','import','link','token','other')", name="kind"),
        UniqueConstraint("person_id"),
        UniqueConstraint("helper_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(6))
    name: Mapped[str] = mapped_column(String(80))
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"))
    helper_id: Mapped[int | None] = mapped_column(ForeignKey("helper.id"))


class SignIn(Base):
    """A one-time link, an invitation or a session; only the hash of its token is kept.

    A session with helpers' rights is a device of a class; `seen_at` is kept to the day.
    """

    __tablename__ = "sign_in"
    __table_args__ = (
        CheckConstraint("kind IN ('link','session','invite')", name="kind"),
        CheckConstraint("rights IN ('adult','helper')", name="rights"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    kind: Mapped[str] = mapped_column(String(7))
    rights: Mapped[str] = mapped_column(String(6), default="adult")
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    created_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    used_at: Mapped[datetime | None]
    ended_at: Mapped[datetime | None]
    last_hands_id: Mapped[int | None] = mapped_column(ForeignKey("author.id"))
    class_id: Mapped[int | None] = mapped_column(ForeignKey("class.id"), index=True)
    device: Mapped[str] = mapped_column(String(80), default="")
    seen_at: Mapped[datetime | None]


class SignInTry(Base):
    """A wrong passphrase, for the growing wait that survives a restart."""

    __tablename__ = "sign_in_try"

    id: Mapped[int] = mapped_column(primary_key=True)
    tried_at: Mapped[datetime] = mapped_column(index=True)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), index=True)
    address_hash: Mapped[str] = mapped_column(String(64), default="")
