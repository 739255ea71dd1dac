"""The one header of every entry, and the entry that takes another back."""

from datetime import date, datetime

from sqlalchemy import (
    CheckConstraint,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    String,
    UniqueConstraint,
)
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base, Typed

KINDS = "'feeding','water_test','logger','job','stock_event','observation','withdrawal'"


class Entry(Base):
    """The header of every entry."""

    __tablename__ = "entry"
    __table_args__ = (
        CheckConstraint(f"kind IN ({KINDS})", name="kind"),
        CheckConstraint("status IN ('ok','corrected','withdrawn')", name="status"),
        UniqueConstraint("id", "kind"),
        UniqueConstraint("tank_id", "token"),
        Index("ix_entry_tank_id_kind_happened_at", "tank_id", "kind", "happened_at"),
        Index("ix_entry_tank_id_happened_at", "tank_id", "happened_at", "id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"))
    kind: Mapped[str] = mapped_column(String(11))
    happened_at: Mapped[datetime]
    local_day: Mapped[date]
    recorded_at: Mapped[datetime]
    author_id: Mapped[int] = mapped_column(ForeignKey("author.id"), index=True)
    done_by_id: Mapped[int | None] = mapped_column(ForeignKey("author.id"), index=True)
    token: Mapped[str] = mapped_column(String(64))
    digest: Mapped[str] = mapped_column(String(64))
    status: Mapped[str] = mapped_column(String(9), default="ok")
    replaces_id: Mapped[int | None] = mapped_column(ForeignKey("entry.id"), unique=True)
    reason: Mapped[str] = mapped_column(Typed(200), default="")


def detail_of(kind: str) -> tuple[CheckConstraint, ForeignKeyConstraint]:
    """The constraints that tie a detail row to a header of its own kind only."""
    return (
        CheckConstraint(f"kind = '{kind}'", name="kind"),
        ForeignKeyConstraint(["entry_id", "kind"], ["entry.id", "entry.kind"]),
    )


class Withdrawal(Base):
    """Takes an entry back; withdrawing a correction puts back what it replaced."""

    __tablename__ = "withdrawal"
    __table_args__ = detail_of("withdrawal")

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="withdrawal")
    target_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), unique=True)
