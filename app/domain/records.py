"""Frozen records of what happened: one header for all kinds, and the details of each kind."""

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from app.domain.quantities import Quantity


class EntryKind(StrEnum):
    """What kind of thing an entry records."""

    FEEDING = "feeding"
    WATER_TEST = "water_test"
    LOGGER = "logger"
    JOB = "job"
    STOCK_EVENT = "stock_event"
    OBSERVATION = "observation"
    WITHDRAWAL = "withdrawal"


class EntryStatus(StrEnum):
    """Whether an entry counts: in force, replaced by a correction, or taken back."""

    OK = "ok"
    CORRECTED = "corrected"
    WITHDRAWN = "withdrawn"


class JobKind(StrEnum):
    """A job done on the tank."""

    WATER_CHANGE = "water_change"
    TOP_UP = "top_up"
    FILTER_RINSE = "filter_rinse"
    GLASS = "glass"
    SIPHON = "siphon"
    TRIM = "trim"
    EQUIPMENT_CHECK = "equipment_check"
    TREATMENT = "treatment"
    CONDITIONER = "conditioner"
    LEFTOVERS = "leftovers"
    LIGHT_TIMER = "light_timer"
    KIT_CHECK = "kit_check"
    OTHER = "other"


class StockEventKind(StrEnum):
    """What changed in a group of animals."""

    ARRIVED = "arrived"
    BORN = "born"
    DIED = "died"
    MISSING = "missing"
    FOUND = "found"
    MOVED_IN = "moved_in"
    LEFT = "left"
    RECOUNTED = "recounted"


class Treated(StrEnum):
    """Whether tap water got conditioner before or while it went in."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


class Rinse(StrEnum):
    """In what the filter sponge was rinsed."""

    TANK = "tank"
    TREATED = "treated"
    TAP = "tap"


class Sign(StrEnum):
    """Something odd that was seen."""

    GASPING = "gasping"
    WHITE_SPOTS = "white_spots"
    CLAMPED_FINS = "clamped_fins"
    HIDING = "hiding"
    WOUNDS = "wounds"
    CLOUDY = "cloudy"
    SMELL = "smell"
    FILM = "film"
    LEAK = "leak"
    TINGLE = "tingle"
    DEAD_FISH = "dead_fish"
    FILTER_SLOW = "filter_slow"
    FILTER_OFF = "filter_off"
    HEATER_OFF = "heater_off"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One measured value, in the kept unit of its quantity (see `quantities.FACTS`).

    `value` is what was read; None where a card was lighter than its first color or darker
    than its last. `low` and `high` bound what it could be; both None for a meter. An open
    upper end (darker than the last color) has `high` None and `low` set.
    """

    id: int
    entry_id: int
    quantity: Quantity
    at: datetime
    value: float | None
    low: float | None = None
    high: float | None = None
    typed: str = ""
    unit: str = ""
    basis: str = ""
    kit_id: int | None = None
    reader: str = ""
    readers: int = 1
    kit_doubtful: bool = False

    @property
    def best(self) -> float:
        """The value a rule decides on: what was read, else the end that is certain."""
        if self.value is not None:
            return self.value
        return self.low if self.low is not None else 0.0

    @property
    def least(self) -> float:
        """The lowest it could be."""
        return self.best if self.low is None else self.low

    @property
    def most(self) -> float | None:
        """The highest it could be; None where the card has no end."""
        if self.low is None and self.high is None:
            return self.best
        return self.high

    @property
    def lighter_than_first(self) -> bool:
        """Whether the card stayed lighter than its first color."""
        return self.value is None and self.high is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What every entry has, whatever its kind."""

    id: int
    happened_at: datetime
    local_day: date
    recorded_at: datetime
    author: str = ""
    done_by: str = ""
    by_adult: bool = False
    reason: str = ""
    replaces: int | None = None

    @property
    def hands(self) -> str:
        """Whose hands did it: the person named, else the one who wrote it."""
        return self.done_by or self.author


@dataclass(frozen=True, slots=True, kw_only=True)
class Feeding(Entry):
    """A meal. `grams` is None while the scoop was never weighed."""

    scoops: float | None = None
    grams: float | None = None
    amount_words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterTest(Entry):
    """A water test; its readings hang on it."""

    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job(Entry):
    """A job. Liters, °C and treated only where the job has them."""

    job: JobKind
    liters_out: float | None = None
    liters_in: float | None = None
    treated: Treated | None = None
    new_water_c: float | None = None
    rinse: Rinse | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StockEvent(Entry):
    """A change in a group of animals; `count` is animals moved, or the new count (recounted)."""

    what: StockEventKind
    group_id: int
    group_name: str = ""
    count: int = 0
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation(Entry):
    """A look at the tank. `seen` is the number of fish counted, None when nobody counted."""

    seen: int | None = None
    expected: int | None = None
    lid_closed: bool | None = None
    plug_on: bool | None = None
    breathing_calm: bool | None = None
    signs: tuple[Sign, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StockGroup:
    """A group of animals of one kind; `count` as of the snapshot."""

    id: int
    name: str
    count: int
    band: str = "middle"
    adult_cm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """A test kit, card or meter. Steps are in `unit` and `basis`, ascending; () for a meter."""

    id: int
    quantity: Quantity
    name: str
    unit: str
    basis: str = ""
    steps: tuple[float, ...] = ()
    opened_on: date | None = None
    expires_on: date | None = None
    retired_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """Days on which nobody is meant to come, both ends included."""

    first_day: date
    last_day: date
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A tank's range for a quantity, in the kept unit, and who set it."""

    quantity: Quantity
    low: float | None
    high: float | None
    set_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CarePlan:
    """What is planned for one tank; weekdays count from Monday = 0. Days are whole days."""

    feed_weekdays: frozenset[int] = frozenset(range(7))
    portion_scoops: float = 1.0
    water_change_days: int = 7
    water_change_percent: float = 25.0
    test_days: int = 7
    filter_rinse_days: int = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class TankShape:
    """Inside measures of a box in cm and liters; None where nobody measured."""

    length_cm: float
    width_cm: float
    rim_cm: float | None = None
    water_depth_cm: float | None = None
    sand_front_cm: float | None = None
    sand_back_cm: float | None = None
    sand_pore_share: float = 0.4
    displacement_l: float = 0.0
    heater_line_cm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """One tank and what is known about it."""

    id: int
    name: str
    shape: TankShape
    setting: str = "home"
    started_on: date | None = None
    mature_on: date | None = None
    closed_on: date | None = None
    light_on: str = ""
    light_hours: float | None = None
    has_heater: bool = True
    scoop_grams: float | None = None
    scoop_id: int | None = None
    ranges: tuple[Range, ...] = ()
    plan: CarePlan = field(default_factory=CarePlan)

    def own_range(self, quantity: Quantity) -> Range | None:
        """The range somebody set for this tank, or None."""
        return next((r for r in self.ranges if r.quantity is quantity), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """The household or school: its zone, the days somebody comes, its breaks, its tap water."""

    name: str
    zone: str
    present_weekdays: frozenset[int] = frozenset(range(7))
    breaks: tuple[Break, ...] = ()
    fahrenheit: bool = False
    us_gallons: bool = False
    chloramine: str = "unknown"
    tap: tuple[tuple[Quantity, float], ...] = ()

    def tap_value(self, quantity: Quantity) -> float | None:
        """The tap water's own value in the kept unit, or None when nobody tested it."""
        return dict(self.tap).get(quantity)
