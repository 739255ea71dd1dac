"""Meals, and the scoop they are measured with."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base, Typed
from app.storage.models.entry import detail_of


class Scoop(Base):
    """One weighing of the scoop: grams of one flat scoop."""

    __tablename__ = "scoop"
    __table_args__ = (CheckConstraint("grams > 0", name="grams"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), index=True)
    grams: Mapped[float]
    weighed_at: Mapped[datetime]


class Feeding(Base):
    """A meal; grams as they counted on the day, NULL while the scoop was never weighed."""

    __tablename__ = "feeding"
    __table_args__ = (
        *detail_of("feeding"),
        CheckConstraint("scoops IS NULL OR scoops > 0", name="scoops"),
        CheckConstraint("minutes_to_eat IS NULL OR minutes_to_eat >= 0", name="minutes_to_eat"),
    )

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="feeding")
    scoops: Mapped[float | None]
    grams: Mapped[float | None]
    scoop_id: Mapped[int | None] = mapped_column(ForeignKey("scoop.id"))
    amount_words: Mapped[str] = mapped_column(Typed(80), default="")
    left_over: Mapped[bool | None]
    minutes_to_eat: Mapped[float | None]
