"""What the household or school owns: kits with their comparisons, equipment, supplies."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base, Typed


class Kit(Base):
    """A test kit; `steps` are the card's colors as text, separated by spaces."""

    __tablename__ = "kit"

    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    quantity: Mapped[str] = mapped_column(String(16))
    name: Mapped[str] = mapped_column(String(80))
    unit: Mapped[str] = mapped_column(String(16))
    basis: Mapped[str] = mapped_column(String(16), default="")
    steps: Mapped[str] = mapped_column(String(200), default="")
    opened_on: Mapped[date | None]
    expires_on: Mapped[date | None]
    retired_on: Mapped[date | None]
    lot: Mapped[str] = mapped_column(String(40), default="")
    next_check_on: Mapped[date | None]


class KitComparison(Base):
    """A kit or thermometer held against something known, in the kept unit of its quantity."""

    __tablename__ = "kit_comparison"

    id: Mapped[int] = mapped_column(primary_key=True)
    kit_id: Mapped[int] = mapped_column(ForeignKey("kit.id"), index=True)
    at: Mapped[datetime]
    known: Mapped[float]
    read: Mapped[float]
    against: Mapped[str] = mapped_column(String(80), default="")


class Equipment(Base):
    """A heater, filter, lamp or the like of one tank."""

    __tablename__ = "equipment"
    __table_args__ = (CheckConstraint("watts IS NULL OR watts > 0", name="watts"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), index=True)
    kind: Mapped[str] = mapped_column(String(20))
    name: Mapped[str] = mapped_column(Typed(80))
    lot: Mapped[str] = mapped_column(String(40), default="")
    watts: Mapped[float | None]
    since: Mapped[date | None]
    next_check_on: Mapped[date | None]
    retired_on: Mapped[date | None]
    failed_on: Mapped[date | None]
    note: Mapped[str] = mapped_column(Typed(500), default="")


class Supply(Base):
    """Food, conditioner or a reagent, and how much was left when it was last counted."""

    __tablename__ = "supply"
    __table_args__ = (
        CheckConstraint("kind IN ('food','conditioner','reagent')", name="kind"),
        CheckConstraint("unit IN ('g','mL','tests')", name="unit"),
        CheckConstraint("amount_left >= 0", name="amount_left"),
        CheckConstraint(
            "(label_ml IS NULL OR label_ml > 0) AND (label_l IS NULL OR label_l > 0)", name="label"
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    kind: Mapped[str] = mapped_column(String(11))
    name: Mapped[str] = mapped_column(Typed(80))
    unit: Mapped[str] = mapped_column(String(5))
    amount_left: Mapped[float]
    counted_on: Mapped[date]
    kit_id: Mapped[int | None] = mapped_column(ForeignKey("kit.id"))
    label_ml: Mapped[float | None]
    label_l: Mapped[float | None]
    opened_on: Mapped[date | None]
    expires_on: Mapped[date | None]
