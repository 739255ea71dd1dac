"""Links that are given to people without a name here, and a sitter's food packets."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base, Typed


class Link(Base):
    """A family's, a sitter's or a calendar's link to one tank; only its token's hash is kept.

    It is open from its first to its last day, both included, unless it was `ended_at`.
    A sitter's link has an author of its own.
    """

    __tablename__ = "link"
    __table_args__ = (
        CheckConstraint("kind IN ('family','sitter','calendar')", name="kind"),
        CheckConstraint(
            "first_day IS NULL OR last_day IS NULL OR last_day >= first_day", name="order"
        ),
        CheckConstraint("kind = 'calendar' OR last_day IS NOT NULL", name="dated"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(8))
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), index=True)
    label: Mapped[str] = mapped_column(Typed(80), default="")
    first_day: Mapped[date | None]
    last_day: Mapped[date | None]
    made_at: Mapped[datetime]
    made_by_id: Mapped[int] = mapped_column(ForeignKey("author.id"))
    author_id: Mapped[int | None] = mapped_column(ForeignKey("author.id"))
    ended_at: Mapped[datetime | None]
    last_used_on: Mapped[date | None]


class SitterPacket(Base):
    """A numbered food packet of a sitter's stay; its entry once it was given."""

    __tablename__ = "sitter_packet"
    __table_args__ = (
        UniqueConstraint("link_id", "number"),
        UniqueConstraint("link_id", "day"),
        CheckConstraint("grams IS NULL OR grams > 0", name="grams"),
        CheckConstraint("scoops IS NULL OR scoops > 0", name="scoops"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    link_id: Mapped[int] = mapped_column(ForeignKey("link.id"))
    number: Mapped[int]
    day: Mapped[date]
    grams: Mapped[float | None]
    scoops: Mapped[float | None]
    entry_id: Mapped[int | None] = mapped_column(ForeignKey("entry.id"), unique=True)
