"""Jobs done on a tank."""

from sqlalchemy import CheckConstraint, String
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base
from app.storage.models.entry import detail_of


class Job(Base):
    """A job; liters, °C and treated only where the job has them."""

    __tablename__ = "job"
    __table_args__ = (
        *detail_of("job"),
        CheckConstraint("liters_out IS NULL OR liters_out >= 0", name="liters_out"),
        CheckConstraint("liters_in IS NULL OR liters_in >= 0", name="liters_in"),
        CheckConstraint("treated IS NULL OR treated IN ('yes','no','unknown')", name="treated"),
        CheckConstraint("rinse IS NULL OR rinse IN ('tank','treated','tap')", name="rinse"),
    )

    entry_id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(11), default="job")
    job: Mapped[str] = mapped_column(String(20))
    liters_out: Mapped[float | None]
    liters_in: Mapped[float | None]
    treated: Mapped[str | None] = mapped_column(String(7))
    new_water_c: Mapped[float | None]
    rinse: Mapped[str | None] = mapped_column(String(7))
    note: Mapped[str] = mapped_column(String(500), default="")
