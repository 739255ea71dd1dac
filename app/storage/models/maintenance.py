"""Jobs done on a tank."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.storage.base import Base, Typed
from app.storage.models.entry import detail_of


class Job(Base):
    """A job; liters, °C and treated only where the job has them.

    It carries the tank and the time of its entry, which never change, for the index that finds
    the latest of each job at once.
    """

    __tablename__ = "job"
    __table_args__ = (
        *detail_of("job"),
        CheckConstraint("liters_out IS NULL OR liters_out >= 0", name="liters_out"),
        CheckConstraint("liters_in IS NULL OR liters_in >= 0", name="liters_in"),
        CheckConstraint("treated IS NULL OR treated IN ('yes','no','unknown')", name="treated"),
        CheckConstraint("rinse IS NULL OR rinse IN ('tank','treated','tap')", name="rinse"),
        CheckConstraint("media_share IS NULL OR media_share BETWEEN 0 AND 1", name="media_share"),
        CheckConstraint("mg_per_l IS NULL OR mg_per_l >= 0", name="mg_per_l"),
        CheckConstraint("grams IS NULL OR grams >= 0", name="grams"),
        Index("ix_job_tank_id_job_happened_at", "tank_id", "job", "happened_at"),
    )

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="job")
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"))
    happened_at: Mapped[datetime]
    job: Mapped[str] = mapped_column(String(20))
    liters_out: Mapped[float | None]
    liters_in: Mapped[float | None]
    treated: Mapped[str | None] = mapped_column(String(7))
    new_water_c: Mapped[float | None]
    rinse: Mapped[str | None] = mapped_column(String(7))
    media_share: Mapped[float | None]
    mg_per_l: Mapped[float | None]
    grams: Mapped[float | None]
    plant_id: Mapped[int | None] = mapped_column(ForeignKey("plant.id"))
    step: Mapped[str] = mapped_column(String(40), default="")
    note: Mapped[str] = mapped_column(Typed(500), default="")
    # joined: a job is always read with its treatment, and never in a statement of its own
    treatment: Mapped["Treatment | None"] = relationship(lazy="joined", viewonly=True)


class Treatment(Base):
    """What an adult wrote of a treatment, beside the job that it was; amounts as on the label."""

    __tablename__ = "treatment"
    __table_args__ = (
        CheckConstraint(
            "(label_ml IS NULL OR label_ml > 0) AND (label_l IS NULL OR label_l > 0)", name="label"
        ),
        CheckConstraint("volume_l IS NULL OR volume_l > 0", name="volume_l"),
        CheckConstraint("amount_ml IS NULL OR amount_ml > 0", name="amount_ml"),
    )

    entry_id: Mapped[int] = mapped_column(ForeignKey("job.entry_id"), primary_key=True)
    product: Mapped[str] = mapped_column(String(80))
    label_ml: Mapped[float | None]
    label_l: Mapped[float | None]
    volume_l: Mapped[float | None]
    amount_ml: Mapped[float | None]
    carbon_out: Mapped[bool | None]
    until: Mapped[date | None]
