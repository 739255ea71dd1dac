"""Groups of animals, what happened to them, and looks at the tank."""

from sqlalchemy import CheckConstraint, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base
from app.storage.models.entry import detail_of


class StockGroup(Base):
    """A group of animals of one kind; its count comes from its events."""

    __tablename__ = "stock_group"
    __table_args__ = (CheckConstraint("band IN ('surface','middle','bottom')", name="band"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), index=True)
    name: Mapped[str] = mapped_column(String(80))
    folded: Mapped[str] = mapped_column(String(80))
    band: Mapped[str] = mapped_column(String(7), default="middle")
    adult_cm: Mapped[float | None]


class StockEvent(Base):
    """A change in a group; for `recounted` the count is the new count."""

    __tablename__ = "stock_event"
    __table_args__ = (
        *detail_of("stock_event"),
        CheckConstraint(
            "what IN ('arrived','born','died','missing','found','moved_in','left','recounted')",
            name="what",
        ),
        CheckConstraint("count >= 0", name="count"),
    )

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="stock_event")
    what: Mapped[str] = mapped_column(String(9))
    group_id: Mapped[int] = mapped_column(ForeignKey("stock_group.id"), index=True)
    count: Mapped[int]
    note: Mapped[str] = mapped_column(String(500), default="")


class Observation(Base):
    """A look at the tank; NULL is "not looked at", never "no"."""

    __tablename__ = "observation"
    __table_args__ = (
        *detail_of("observation"),
        CheckConstraint("seen IS NULL OR seen >= 0", name="seen"),
    )

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="observation")
    seen: Mapped[int | None]
    expected: Mapped[int | None]
    lid_closed: Mapped[bool | None]
    plug_on: Mapped[bool | None]
    breathing_calm: Mapped[bool | None]
    signs: Mapped[str] = mapped_column(String(200), default="")
    note: Mapped[str] = mapped_column(String(500), default="")
