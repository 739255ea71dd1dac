"""Water tests, loggers, and the readings that hang on any entry."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, func, select
from sqlalchemy.orm import Mapped, column_property, mapped_column

from app.storage.base import Base, Typed
from app.storage.models.access import Author
from app.storage.models.entry import detail_of


class WaterTest(Base):
    """A water test."""

    __tablename__ = "water_test"
    __table_args__ = detail_of("water_test")

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="water_test")
    note: Mapped[str] = mapped_column(Typed(500), default="")


class Logger(Base):
    """One import of a logger's file: a single entry that owns many readings."""

    __tablename__ = "logger"
    __table_args__ = detail_of("logger")

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="logger")
    file_name: Mapped[str] = mapped_column(Typed(120), default="")
    rows: Mapped[int] = mapped_column(default=0)


class LoggerDay(Base):
    """The readings of one quantity on one local day of a logger: rebuildable from them.

    It counts only while the days of an entry hold as many readings as its `Logger.rows` says.
    """

    __tablename__ = "logger_day"

    entry_id: Mapped[int] = mapped_column(ForeignKey("logger.entry_id"), primary_key=True)
    quantity: Mapped[str] = mapped_column(String(16), primary_key=True)
    day: Mapped[date] = mapped_column(primary_key=True)
    count: Mapped[int]
    total: Mapped[float]
    low: Mapped[float]
    low_at: Mapped[datetime]
    high: Mapped[float]
    high_at: Mapped[datetime]


class Reading(Base):
    """One measured value in the kept unit, with what was typed; `in_force`: it counts.

    Whoever read it is kept as an author: no nickname stands beside a value. `reader` is the
    name that the author has now, or "".
    """

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
    reader_id: Mapped[int | None] = mapped_column(ForeignKey("author.id"))
    in_force: Mapped[bool] = mapped_column(default=True)
    reader: Mapped[str] = column_property(
        func.coalesce(
            select(Author.shown)
            .where(Author.id == reader_id)
            .correlate_except(Author)
            .scalar_subquery(),
            "",
        )
    )
