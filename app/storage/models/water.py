"""Water tests, loggers, and the readings that hang on any entry."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base
from app.storage.models.entry import detail_of


class WaterTest(Base):
    """A water test."""

    __tablename__ = "water_test"
    __table_args__ = detail_of("water_test")

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="water_test")
    note: Mapped[str] = mapped_column(String(500), default="")


class Logger(Base):
    """One import of a logger's file: a single entry that owns many readings."""

    __tablename__ = "logger"
    __table_args__ = detail_of("logger")

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="logger")
    file_name: Mapped[str] = mapped_column(String(120), default="")
    rows: Mapped[int] = mapped_column(default=0)


class Reading(Base):
    """One measured value in the kept unit, with what was typed; `in_force`: it counts."""

    __tablename__ = "reading"
    __table_args__ = (
        CheckConstraint(
            "quantity IN ('temperature','ph','ammonia','nitrite','nitrate','kh','gh',"
            "'oxygen','chlorine','chloride','water_level')",
            name="quantity",
        ),
        CheckConstraint("value IS NOT NULL OR low IS NOT NULL", name="some_value"),
        CheckConstraint("low IS NULL OR high IS NULL OR high >= low", name="order"),
        Index(
            "ix_reading_tank_id_quantity_in_force_at",
            "tank_id",
            "quantity",
            "in_force",
            "at",
            "value",
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), index=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"))
    quantity: Mapped[str] = mapped_column(String(16))
    at: Mapped[datetime]
    value: Mapped[float | None]
    low: Mapped[float | None]
    high: Mapped[float | None]
    typed: Mapped[str] = mapped_column(String(40), default="")
    unit: Mapped[str] = mapped_column(String(16), default="")
    basis: Mapped[str] = mapped_column(String(16), default="")
    kit_id: Mapped[int | None] = mapped_column(ForeignKey("kit.id"))
    reader: Mapped[str] = mapped_column(String(80), default="")
    in_force: Mapped[bool] = mapped_column(default=True)
