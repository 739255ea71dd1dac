"""The household or school, its breaks and its tap water."""

from datetime import date

from sqlalchemy import CheckConstraint, ForeignKey, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base, Typed


class Site(Base):
    """A household or a school."""

    __tablename__ = "site"
    __table_args__ = (CheckConstraint("chloramine IN ('yes','no','unknown')", name="chloramine"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    zone: Mapped[str] = mapped_column(String(64))
    present_weekdays: Mapped[str] = mapped_column(String(7), default="0123456")
    fahrenheit: Mapped[bool] = mapped_column(default=False)
    us_gallons: Mapped[bool] = mapped_column(default=False)
    chloramine: Mapped[str] = mapped_column(String(7), default="unknown")
    elevation_m: Mapped[float | None]


class Break(Base):
    """Days on which nobody is meant to come; on `staff` days only adults are there.

    `uid` is the name of an event that was brought in from a calendar.
    """

    __tablename__ = "site_break"
    __table_args__ = (
        CheckConstraint("last_day >= first_day", name="order"),
        CheckConstraint("kind IN ('break','holiday','staff')", name="kind"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    first_day: Mapped[date]
    last_day: Mapped[date]
    name: Mapped[str] = mapped_column(Typed(80), default="")
    kind: Mapped[str] = mapped_column(String(7), default="break")
    uid: Mapped[str] = mapped_column(String(200), default="")


class Setback(Base):
    """Hours in which the building is heated less; times as HH:MM on the site's clock.

    `while_away`: the heating also stays down on all days on which nobody comes.
    """

    __tablename__ = "site_setback"

    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    weekdays: Mapped[str] = mapped_column(String(7))
    starts: Mapped[str] = mapped_column(String(5))
    ends: Mapped[str] = mapped_column(String(5))
    room_c: Mapped[float | None]
    while_away: Mapped[bool] = mapped_column(default=False)


class PaperText(Base):
    """A text for the papers: the site's own policy, or of one tank where things are."""

    __tablename__ = "paper_text"
    __table_args__ = (UniqueConstraint("site_id", "tank_id", "name"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    tank_id: Mapped[int | None] = mapped_column(ForeignKey("tank.id"), index=True)
    name: Mapped[str] = mapped_column(String(40))
    text: Mapped[str] = mapped_column(Text)


class TapReading(Base):
    """What the tap water itself holds, in the kept unit."""

    __tablename__ = "tap_reading"

    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), primary_key=True)
    quantity: Mapped[str] = mapped_column(String(16), primary_key=True)
    value: Mapped[float]
    tested_on: Mapped[date | None]
