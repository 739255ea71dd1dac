"""What joins many tanks: things they shared, and targets that are set for several at once."""

from sqlalchemy import CheckConstraint, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base


class Contact(Base):
    """Something in an entry came from another tank, or was also used there."""

    __tablename__ = "contact"
    __table_args__ = (
        CheckConstraint("what IN ('water','net','fish','plants','equipment')", name="what"),
        CheckConstraint("way IN ('from','also')", name="way"),
        UniqueConstraint("entry_id", "other_tank_id", "what"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"))
    other_tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), index=True)
    what: Mapped[str] = mapped_column(String(9))
    way: Mapped[str] = mapped_column(String(4))


class TargetTemplate(Base):
    """Ranges that several tanks share; a tank's own range counts first."""

    __tablename__ = "target_template"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80), unique=True)


class TemplateRange(Base):
    """A template's range for one quantity, in the kept unit."""

    __tablename__ = "template_range"
    __table_args__ = (CheckConstraint("low IS NULL OR high IS NULL OR high > low", name="order"),)

    template_id: Mapped[int] = mapped_column(ForeignKey("target_template.id"), primary_key=True)
    quantity: Mapped[str] = mapped_column(String(16), primary_key=True)
    low: Mapped[float | None]
    high: Mapped[float | None]
