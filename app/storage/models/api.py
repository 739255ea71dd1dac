"""Programs that read or write the record: their tokens, and how often they asked."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base, Typed


class ApiToken(Base):
    """A bearer token of a program; only its hash is kept, and its entries have its own author.

    Without a tank it reaches the tanks of the adult who made it. `scope` is what it may do:
    read, also write readings, or also write entries.
    """

    __tablename__ = "api_token"
    __table_args__ = (CheckConstraint("scope IN ('read','readings','entries')", name="scope"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    label: Mapped[str] = mapped_column(Typed(80))
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    tank_id: Mapped[int | None] = mapped_column(ForeignKey("tank.id"), index=True)
    scope: Mapped[str] = mapped_column(String(8), default="read")
    author_id: Mapped[int] = mapped_column(ForeignKey("author.id"))
    made_by_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    made_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
    last_used_on: Mapped[date | None]


class RequestCount(Base):
    """How often somebody asked within a span of time; for limits that hold for all processes."""

    __tablename__ = "request_count"
    __table_args__ = (Index("ix_request_count_starts_at", "starts_at"),)

    who: Mapped[str] = mapped_column(String(80), primary_key=True)
    starts_at: Mapped[datetime] = mapped_column(primary_key=True)
    count: Mapped[int] = mapped_column(default=0)
