"""Classes with the tanks they look after, helpers' tiles, days away and who is on duty."""

from datetime import date

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base


class SchoolClass(Base):
    """A class, or the children of a household; its personal data goes after `kept_until`."""

    __tablename__ = "class"
    __table_args__ = (
        CheckConstraint("duty_size BETWEEN 1 AND 6", name="duty_size"),
        CheckConstraint("duty_span IN ('day','week')", name="duty_span"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    name: Mapped[str] = mapped_column(String(80))
    kept_until: Mapped[date | None]
    duty_size: Mapped[int] = mapped_column(default=2)
    duty_span: Mapped[str] = mapped_column(String(4), default="day")
    ended_on: Mapped[date | None]


class ClassTank(Base):
    """A tank that a class looks after."""

    __tablename__ = "class_tank"

    class_id: Mapped[int] = mapped_column(ForeignKey("class.id"), primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), primary_key=True, index=True)


class Helper(Base):
    """A tile with a nickname from the shipped list; no other fact about a child.

    Once replaced, the nickname is "Past helper" with its number. Without `on_duty` a tile is
    never put on the rota, and nothing says why.
    """

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
    on_duty: Mapped[bool] = mapped_column(default=True)
    past_number: Mapped[int | None]


class HelperAway(Base):
    """A day on which a helper is not there."""

    __tablename__ = "helper_away"

    helper_id: Mapped[int] = mapped_column(ForeignKey("helper.id"), primary_key=True)
    day: Mapped[date] = mapped_column(primary_key=True)


class Duty(Base):
    """A helper on duty on one day; a `locked` one stays when the week is planned anew."""

    __tablename__ = "duty"
    __table_args__ = (
        UniqueConstraint("class_id", "day", "helper_id"),
        Index("ix_duty_helper_id_day", "helper_id", "day"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    class_id: Mapped[int] = mapped_column(ForeignKey("class.id"))
    day: Mapped[date]
    helper_id: Mapped[int] = mapped_column(ForeignKey("helper.id"))
    locked: Mapped[bool] = mapped_column(default=False)
    instead_of_id: Mapped[int | None] = mapped_column(ForeignKey("helper.id"))
