"""Who writes: persons, classes with their helpers' tiles, authors, and who is signed in."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base


class Person(Base):
    """An adult."""

    __tablename__ = "person"
    __table_args__ = (
        CheckConstraint("role IN ('keeper','technician','coordinator')", name="role"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    role: Mapped[str] = mapped_column(String(11), default="keeper")
    passphrase_hash: Mapped[str] = mapped_column(String(200), default="")


class SchoolClass(Base):
    """A class, or the children of a household, who look after tanks."""

    __tablename__ = "class"

    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    name: Mapped[str] = mapped_column(String(80))
    kept_until: Mapped[date | None]


class Helper(Base):
    """A tile with a nickname from the shipped list; no other fact about a child."""

    __tablename__ = "helper"
    __table_args__ = (
        Index(
            "ix_helper_nickname_present",
            "class_id",
            "nickname",
            unique=True,
            sqlite_where=text("left_on IS NULL"),
            postgresql_where=text("left_on IS NULL"),
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    class_id: Mapped[int] = mapped_column(ForeignKey("class.id"))
    nickname: Mapped[str] = mapped_column(String(40))
    left_on: Mapped[date | None]


class Author(Base):
    """Whoever wrote something: one row per adult, tile or import. Renaming is one row."""

    __tablename__ = "author"
    __table_args__ = (
        CheckConstraint("kind IN ('adult','helper','import','other')", name="kind"),
        UniqueConstraint("person_id"),
        UniqueConstraint("helper_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(6))
    name: Mapped[str] = mapped_column(String(80))
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"))
    helper_id: Mapped[int | None] = mapped_column(ForeignKey("helper.id"))


class SignIn(Base):
    """A one-time link, or a session that came of one; only the hash of its token is kept."""

    __tablename__ = "sign_in"
    __table_args__ = (
        CheckConstraint("kind IN ('link','session')", name="kind"),
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


class SignInTry(Base):
    """A wrong passphrase, for the growing wait that survives a restart."""

    __tablename__ = "sign_in_try"

    id: Mapped[int] = mapped_column(primary_key=True)
    tried_at: Mapped[datetime] = mapped_column(index=True)
