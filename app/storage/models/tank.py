"""A tank with its measures, ranges and care plan."""

from datetime import date

from sqlalchemy import CheckConstraint, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base


class Tank(Base):
    """A tank by its measured inside dimensions (cm) and what is known about it."""

    __tablename__ = "tank"
    __table_args__ = (
        CheckConstraint("setting IN ('home','class')", name="setting"),
        CheckConstraint("length_cm > 0 AND width_cm > 0", name="inside"),
        CheckConstraint("sand_pore_share >= 0 AND sand_pore_share < 1", name="pores"),
        CheckConstraint("form IN ('box','cylinder','hexagon','bow_front','bowl')", name="form"),
        CheckConstraint("bow_cm >= 0 AND base_cm >= 0", name="curves"),
        CheckConstraint("cover IN ('','closed','gap','open')", name="cover"),
        CheckConstraint(
            "food_protein_percent IS NULL OR food_protein_percent BETWEEN 0 AND 100",
            name="food_protein_percent",
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    name: Mapped[str] = mapped_column(String(80))
    folded: Mapped[str] = mapped_column(String(80), unique=True)
    setting: Mapped[str] = mapped_column(String(5), default="home")
    length_cm: Mapped[float]
    width_cm: Mapped[float]
    form: Mapped[str] = mapped_column(String(9), default="box")
    bow_cm: Mapped[float] = mapped_column(default=0.0)
    base_cm: Mapped[float] = mapped_column(default=0.0)
    rim_cm: Mapped[float | None]
    water_depth_cm: Mapped[float | None]
    sand_front_cm: Mapped[float | None]
    sand_back_cm: Mapped[float | None]
    sand_pore_share: Mapped[float] = mapped_column(default=0.4)
    displacement_l: Mapped[float] = mapped_column(default=0.0)
    heater_line_cm: Mapped[float | None]
    started_on: Mapped[date | None]
    mature_on: Mapped[date | None]
    closed_on: Mapped[date | None]
    light_on: Mapped[str] = mapped_column(String(5), default="")
    light_hours: Mapped[float | None]
    has_heater: Mapped[bool] = mapped_column(default=True)
    set_point_c: Mapped[float | None]
    cover: Mapped[str] = mapped_column(String(6), default="")
    sun_from: Mapped[str] = mapped_column(String(5), default="")
    sun_until: Mapped[str] = mapped_column(String(5), default="")
    coldest_room_c: Mapped[float | None]
    adult: Mapped[str] = mapped_column(String(80), default="")
    adult_phone: Mapped[str] = mapped_column(String(40), default="")
    deputy: Mapped[str] = mapped_column(String(80), default="")
    deputy_phone: Mapped[str] = mapped_column(String(40), default="")
    food_protein_percent: Mapped[float | None]
    room: Mapped[str] = mapped_column(String(40), default="")
    round: Mapped[str] = mapped_column(String(40), default="")
    template_id: Mapped[int | None] = mapped_column(ForeignKey("target_template.id"))
    revision: Mapped[int] = mapped_column(default=0)


class TankRange(Base):
    """A tank's own range for one quantity, in the kept unit."""

    __tablename__ = "tank_range"
    __table_args__ = (CheckConstraint("low IS NULL OR high IS NULL OR high > low", name="order"),)

    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), primary_key=True)
    quantity: Mapped[str] = mapped_column(String(16), primary_key=True)
    low: Mapped[float | None]
    high: Mapped[float | None]
    set_by: Mapped[str] = mapped_column(String(80), default="")


class CarePlan(Base):
    """What is planned for one tank; weekdays as digits from Monday = 0."""

    __tablename__ = "care_plan"
    __table_args__ = (
        CheckConstraint("water_change_days BETWEEN 1 AND 60", name="water_change_days"),
        CheckConstraint("water_change_percent BETWEEN 1 AND 100", name="water_change_percent"),
        CheckConstraint("test_days BETWEEN 1 AND 60", name="test_days"),
        CheckConstraint("filter_rinse_days BETWEEN 1 AND 365", name="filter_rinse_days"),
        CheckConstraint("portion_scoops > 0", name="portion"),
    )

    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), primary_key=True)
    feed_weekdays: Mapped[str] = mapped_column(String(7), default="0123456")
    portion_scoops: Mapped[float] = mapped_column(default=1.0)
    water_change_days: Mapped[int] = mapped_column(default=7)
    water_change_percent: Mapped[float] = mapped_column(default=25.0)
    test_days: Mapped[int] = mapped_column(default=7)
    filter_rinse_days: Mapped[int] = mapped_column(default=30)


class CareJob(Base):
    """What a tank's plan says of one job; NULL and empty text leave the default."""

    __tablename__ = "care_job"
    __table_args__ = (
        CheckConstraint("every_days IS NULL OR every_days BETWEEN 1 AND 730", name="every_days"),
        CheckConstraint("weekday IS NULL OR weekday BETWEEN 0 AND 6", name="weekday"),
        CheckConstraint("who IN ('','adult','helper','technician')", name="who"),
    )

    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), primary_key=True)
    name: Mapped[str] = mapped_column(String(20), primary_key=True)
    every_days: Mapped[int | None]
    weekday: Mapped[int | None]
    who: Mapped[str] = mapped_column(String(10), default="")
