"""What was expected before it was measured: by the program, and by everybody who guessed."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base


class Forecast(Base):
    """A range that was expected of a quantity at `about_at`, kept as it was made.

    Low, best and high are in the kept unit, before they were widened by `factor`; `last` is the
    last reading of that time. `entry_id` is the entry after which it was made, NULL for one that
    belongs to a round of guesses. `inputs` is JSON of whoever wrote it.
    """

    __tablename__ = "forecast"
    __table_args__ = (
        CheckConstraint("low <= best AND best <= high", name="order"),
        CheckConstraint("about_at > made_at", name="about_at"),
        CheckConstraint("factor >= 1", name="factor"),
        UniqueConstraint("entry_id", "quantity"),
        Index("ix_forecast_tank_id_quantity_made_at", "tank_id", "quantity", "made_at"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"))
    quantity: Mapped[str] = mapped_column(String(16))
    entry_id: Mapped[int | None] = mapped_column(ForeignKey("entry.id"))
    revision: Mapped[int]
    made_at: Mapped[datetime]
    about_at: Mapped[datetime]
    low: Mapped[float]
    best: Mapped[float]
    high: Mapped[float]
    factor: Mapped[float] = mapped_column(default=1.0)
    last: Mapped[float]
    model: Mapped[str] = mapped_column(String(40))
    version: Mapped[str] = mapped_column(String(64))
    inputs: Mapped[str] = mapped_column(Text, default="[]")


class PredictionRound(Base):
    """A round of guesses about the next reading of a quantity, in one unit and basis.

    It closes with that reading, at `closes_at` if there is one, or when an adult ended it.
    """

    __tablename__ = "prediction_round"
    __table_args__ = (
        CheckConstraint("closes_at IS NULL OR closes_at > opened_at", name="closes_at"),
        UniqueConstraint("tank_id", "token"),
        Index("ix_prediction_round_tank_id_opened_at", "tank_id", "opened_at"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"))
    quantity: Mapped[str] = mapped_column(String(16))
    unit: Mapped[str] = mapped_column(String(16))
    basis: Mapped[str] = mapped_column(String(16), default="")
    opened_at: Mapped[datetime]
    opened_by_id: Mapped[int] = mapped_column(ForeignKey("author.id"))
    closes_at: Mapped[datetime | None]
    ended_at: Mapped[datetime | None]
    token: Mapped[str] = mapped_column(String(64))
    last: Mapped[float | None]
    forecast_id: Mapped[int | None] = mapped_column(ForeignKey("forecast.id"), unique=True)


class Prediction(Base):
    """One guess of one tile, in the kept unit, with what was typed."""

    __tablename__ = "prediction"
    __table_args__ = (
        UniqueConstraint("round_id", "author_id"),
        UniqueConstraint("round_id", "token"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    round_id: Mapped[int] = mapped_column(ForeignKey("prediction_round.id"))
    author_id: Mapped[int] = mapped_column(ForeignKey("author.id"), index=True)
    value: Mapped[float]
    typed: Mapped[str] = mapped_column(String(40))
    at: Mapped[datetime]
    token: Mapped[str] = mapped_column(String(64))
