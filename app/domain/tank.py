"""The tank with its measures, ranges and care plan, and the site it stands at."""

from dataclasses import dataclass, field, fields
from datetime import date, time
from enum import StrEnum
from typing import Final

from app.domain.quantities import FACTS, FAHRENHEIT, Quantity, Unit

CARE_JOBS: Final = (
    "feed",
    "look",
    "count",
    "test",
    "water_change",
    "filter_rinse",
    "siphon",
    "glass",
    "trim",
    "equipment_check",
    "outlet_test",
    "kit_dates",
    "deep_check",
    "stock_review",
)


class TankForm(StrEnum):
    """The shape of the glass."""

    BOX = "box"
    CYLINDER = "cylinder"
    HEXAGON = "hexagon"
    BOW_FRONT = "bow_front"
    BOWL = "bowl"


@dataclass(frozen=True, slots=True, kw_only=True)
class TankShape:
    """Inside measures in cm and liters; None where nobody measured.

    Box: length and width. Cylinder: both are its diameter. Hexagon: both are the distance
    across two flats. Bow front: `width_cm` is at the side, `bow_cm` how far the front reaches
    out. Bowl: both are the widest inside diameter, `base_cm` that of its flat bottom.
    Depth, sand and the heater's lowest water line count from the bottom glass.
    """

    length_cm: float
    width_cm: float
    form: TankForm = TankForm.BOX
    bow_cm: float = 0.0
    base_cm: float = 0.0
    rim_cm: float | None = None
    water_depth_cm: float | None = None
    sand_front_cm: float | None = None
    sand_back_cm: float | None = None
    sand_pore_share: float = 0.4
    displacement_l: float = 0.0
    heater_line_cm: float | None = None

    @property
    def over_heater_line_mm(self) -> float | None:
        """How far full water stands over the heater's lowest line, above 0; None if not known."""
        if self.water_depth_cm is None or self.heater_line_cm is None:
            return None
        over = 10.0 * (self.water_depth_cm - self.heater_line_cm)
        return over if over > 0 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A tank's range for a quantity, in the kept unit, and who set it.

    `template` is the name of the template that it comes from, "" where it is the tank's own.
    """

    quantity: Quantity
    low: float | None
    high: float | None
    set_by: str = ""
    template: str = ""

    @property
    def said(self) -> str:
        """Where it comes from, as it stands beside a limit."""
        if self.template:
            return f"template {self.template}"
        return f"set for this tank by {self.set_by}" if self.set_by else "set for this tank"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedJob:
    """What this tank's plan says of one job; None and "" leave the default.

    `name` is a job of `CARE_JOBS`; `weekday` counts from Monday = 0; `who` is adult, helper or
    technician.
    """

    name: str
    every_days: int | None = None
    weekday: int | None = None
    who: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CarePlan:
    """What is planned for one tank; weekdays count from Monday = 0. Days are whole days."""

    feed_weekdays: frozenset[int] = frozenset(range(7))
    portion_scoops: float = 1.0
    water_change_days: int = 7
    water_change_percent: float = 25.0
    test_days: int = 7
    filter_rinse_days: int = 30
    jobs: tuple[PlannedJob, ...] = ()

    def job(self, name: str) -> PlannedJob | None:
        """What is planned for a job, or None where the defaults hold."""
        return next((j for j in self.jobs if j.name == name), None)

    def who(self, name: str) -> str:
        """Whom the plan gives a job to: adult, helper, technician, or "" for anybody."""
        job = self.job(name)
        return job.who if job else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TankFacts:
    """What its people say of a tank: measures, light, warmth, place, who is in charge.

    Times of day are "HH:MM", "" where unknown; `cover` is closed, gap, open or "". `round` is the
    technician's round that it belongs to.
    """

    name: str
    shape: TankShape
    setting: str = "home"
    started_on: date | None = None
    mature_on: date | None = None
    light_on: str = ""
    light_hours: float | None = None
    has_heater: bool = True
    set_point_c: float | None = None
    cover: str = ""
    sun_from: str = ""
    sun_until: str = ""
    coldest_room_c: float | None = None
    adult: str = ""
    adult_phone: str = ""
    deputy: str = ""
    deputy_phone: str = ""
    food_protein_percent: float | None = None
    room: str = ""
    round: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank(TankFacts):
    """One tank: what its people say of it, its scoop, ranges and care plan, and its end.

    `ranges` holds one for a quantity at most: its own, else that of its template.
    """

    id: int
    closed_on: date | None = None
    scoop_grams: float | None = None
    scoop_id: int | None = None
    ranges: tuple[Range, ...] = ()
    template_id: int | None = None
    plan: CarePlan = field(default_factory=CarePlan)

    @property
    def facts(self) -> TankFacts:
        """What its people say of it, to change a part of it."""
        return TankFacts(**{f.name: getattr(self, f.name) for f in fields(TankFacts)})

    def own_range(self, quantity: Quantity) -> Range | None:
        """The range that was set for this tank, itself or by its template, or None."""
        return next((r for r in self.ranges if r.quantity is quantity), None)

    @property
    def overrides(self) -> tuple[Range, ...]:
        """The ranges that were set for this tank itself."""
        return tuple(r for r in self.ranges if not r.template)


class DayKind(StrEnum):
    """What days out of the ordinary are: on staff days the adults come, else nobody does."""

    BREAK = "break"
    HOLIDAY = "holiday"
    STAFF = "staff"


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """Days on which nobody is meant to come, or only adults, both ends included."""

    first_day: date
    last_day: date
    name: str = ""
    kind: DayKind = DayKind.BREAK

    def holds(self, day: date) -> bool:
        """Whether a local day is one of these."""
        return self.first_day <= day <= self.last_day


@dataclass(frozen=True, slots=True, kw_only=True)
class Setback:
    """Hours in which the building is heated less, on the site's wall clock.

    They begin on each of `weekdays` (Monday = 0); an end that is not after the start lies on the
    next day, and equal times are a whole day. `room_c` is the room then, None where nobody wrote
    it. `while_away`: the heating also stays down through all days on which nobody comes.
    """

    weekdays: frozenset[int]
    starts: time
    ends: time
    room_c: float | None = None
    while_away: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """The household or school: its zone, the days somebody comes, its breaks, its tap water.

    `breaks` are all days out of the ordinary, staff days too; `away` those on which nobody comes.
    `id` is 0 for one that is not in the record.
    """

    id: int = 0
    name: str
    zone: str
    present_weekdays: frozenset[int] = frozenset(range(7))
    breaks: tuple[Break, ...] = ()
    setbacks: tuple[Setback, ...] = ()
    fahrenheit: bool = False
    us_gallons: bool = False
    chloramine: str = "unknown"
    elevation_m: float | None = None
    tap: tuple[tuple[Quantity, float], ...] = ()

    @property
    def away(self) -> tuple[Break, ...]:
        """The breaks and holidays: the days on which nobody is meant to come."""
        return tuple(b for b in self.breaks if b.kind is not DayKind.STAFF)

    def unit_of(self, quantity: Quantity) -> Unit:
        """The unit in which this household reads a quantity: its thermometer's, or the kept one."""
        if quantity is Quantity.TEMPERATURE and self.fahrenheit:
            return FAHRENHEIT
        return FACTS[quantity].units[0]

    def tap_value(self, quantity: Quantity) -> float | None:
        """The tap water's own value in the kept unit, or None when nobody tested it."""
        return dict(self.tap).get(quantity)
