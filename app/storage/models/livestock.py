"""Groups of animals, what happened to them, plants, and looks at the tank."""

from sqlalchemy import CheckConstraint, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base, Typed
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
    species: Mapped[str] = mapped_column(String(120), default="")


class StockBatch(Base):
    """Animals of a group that came together."""

    __tablename__ = "stock_batch"

    id: Mapped[int] = mapped_column(primary_key=True)
    group_id: Mapped[int] = mapped_column(ForeignKey("stock_group.id"), index=True)
    label: Mapped[str] = mapped_column(String(80))
    source: Mapped[str] = mapped_column(String(120), default="")


class StockEvent(Base):
    """A change in a group; for `recounted` the count is the new count."""

    __tablename__ = "stock_event"
    __table_args__ = (
        *detail_of("stock_event"),
        CheckConstraint(
            "what IN ('arrived','born','died','missing','found','moved_in','moved_out','left',"
            "'measured','recounted')",
            name="what",
        ),
        CheckConstraint("count >= 0", name="count"),
        CheckConstraint("length_cm IS NULL OR length_cm > 0", name="length_cm"),
        CheckConstraint("apart_days IS NULL OR apart_days >= 0", name="apart_days"),
    )

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="stock_event")
    what: Mapped[str] = mapped_column(String(9))
    group_id: Mapped[int] = mapped_column(ForeignKey("stock_group.id"), index=True)
    count: Mapped[int]
    batch_id: Mapped[int | None] = mapped_column(ForeignKey("stock_batch.id"))
    length_cm: Mapped[float | None]
    apart_days: Mapped[int | None]
    hidden: Mapped[bool] = mapped_column(default=False)
    note: Mapped[str] = mapped_column(Typed(500), default="")


class Observation(Base):
    """A look at the tank; NULL is "not looked at", never "no". Words alone are no look."""

    __tablename__ = "observation"
    __table_args__ = (
        *detail_of("observation"),
        CheckConstraint("seen IS NULL OR seen >= 0", name="seen"),
        CheckConstraint("algae IS NULL OR algae BETWEEN 0 AND 3", name="algae"),
    )

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="observation")
    seen: Mapped[int | None]
    expected: Mapped[int | None]
    lid_closed: Mapped[bool | None]
    plug_on: Mapped[bool | None]
    breathing_calm: Mapped[bool | None]
    algae: Mapped[int | None]
    signs: Mapped[str] = mapped_column(String(400), default="")
    note: Mapped[str] = mapped_column(Typed(500), default="")
    is_look: Mapped[bool] = mapped_column(default=True)


class OwnSpecies(Base):
    """An animal that the household wrote into its own catalogue; ranges in °C, pH and dGH."""

    __tablename__ = "own_species"
    __table_args__ = (
        UniqueConstraint("site_id", "scientific_name"),
        CheckConstraint(
            "(temperature_low IS NULL) = (temperature_high IS NULL)"
            " AND (temperature_low IS NULL OR temperature_low < temperature_high)",
            name="temperature",
        ),
        CheckConstraint(
            "(ph_low IS NULL) = (ph_high IS NULL) AND (ph_low IS NULL OR ph_low < ph_high)",
            name="ph",
        ),
        CheckConstraint(
            "(gh_low IS NULL) = (gh_high IS NULL) AND (gh_low IS NULL OR gh_low < gh_high)",
            name="gh",
        ),
        CheckConstraint("adult_cm IS NULL OR adult_cm > 0", name="adult_cm"),
        CheckConstraint("min_group IS NULL OR min_group >= 1", name="min_group"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    scientific_name: Mapped[str] = mapped_column(String(120))
    common_name: Mapped[str] = mapped_column(String(80))
    folded: Mapped[str] = mapped_column(String(240))
    animal_group: Mapped[str] = mapped_column(String(20), default="fish")
    temperature_low: Mapped[float | None]
    temperature_high: Mapped[float | None]
    ph_low: Mapped[float | None]
    ph_high: Mapped[float | None]
    gh_low: Mapped[float | None]
    gh_high: Mapped[float | None]
    adult_cm: Mapped[float | None]
    min_group: Mapped[int | None]
    position: Mapped[str] = mapped_column(String(20), default="")
    temperament: Mapped[str] = mapped_column(String(20), default="")
    source: Mapped[str] = mapped_column(String(200), default="")


class Plant(Base):
    """A kind of plant in one tank."""

    __tablename__ = "plant"
    __table_args__ = (
        CheckConstraint("amount IN ('none','sparse','moderate','dense')", name="amount"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), index=True)
    name: Mapped[str] = mapped_column(String(80))
    folded: Mapped[str] = mapped_column(String(80))
    species: Mapped[str] = mapped_column(String(120), default="")
    amount: Mapped[str] = mapped_column(String(8), default="moderate")
    floating: Mapped[bool] = mapped_column(default=False)
    removed: Mapped[bool] = mapped_column(default=False)
