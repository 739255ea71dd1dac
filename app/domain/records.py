"""Frozen records of what happened: one header for all kinds, and the details of each kind."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from app.domain.quantities import Quantity
from app.domain.tube import Tube


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
    MEDIA_REPLACED = "media_replaced"
    OUTLET_TEST = "outlet_test"
    DEEP_CHECK = "deep_check"
    STOCK_REVIEW = "stock_review"
    CHECKLIST = "checklist"
    AMMONIA_ADDED = "ammonia_added"
    CARBON = "carbon"
    PLANTED = "planted"
    PLANT_REMOVED = "plant_removed"
    STEP = "step"
    OTHER = "other"


class StockEventKind(StrEnum):
    """What changed in a group of animals."""

    ARRIVED = "arrived"
    BORN = "born"
    DIED = "died"
    MISSING = "missing"
    FOUND = "found"
    MOVED_IN = "moved_in"
    MOVED_OUT = "moved_out"
    LEFT = "left"
    MEASURED = "measured"
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
    RUBBING = "rubbing"
    TUFTS = "tufts"
    SWOLLEN = "swollen"
    THIN = "thin"
    LYING = "lying"
    GREEN_WATER = "green_water"
    BROWN_DUST = "brown_dust"
    HAIR_ALGAE = "hair_algae"
    SNAILS = "snails"
    FRY = "fry"
    POWER_CUT = "power_cut"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One measured value, in the kept unit of its quantity (see `quantities.FACTS`).

    `value` is what was read; None where a card was lighter than its first color or darker
    than its last. `low` and `high` bound what it could be; both None for a meter. An open
    upper end (darker than the last color) has `high` None and `low` set. `tube` holds what each
    of several readers saw; None where one read it.
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
    tube: Tube | None = None
    kit_doubtful: bool = False

    @property
    def readers(self) -> int:
        """How many read it."""
        return 1 if self.tube is None else len(self.tube.seen)

    @property
    def best(self) -> float:
        """The value a rule decides on: what was read, else the end that is certain."""
        if self.value is not None:
            return self.value
        certain = self.low if self.tube is None else self.tube.middle.low
        return certain if certain is not None else 0.0

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
        end = self.high if self.tube is None else self.tube.middle.high
        return self.value is None and end is not None


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
    left_over: bool | None = None
    minutes_to_eat: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterTest(Entry):
    """A water test; its readings hang on it."""

    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Treatment:
    """What an adult wrote of a treatment; amounts as on the label, volumes in liters.

    `label_ml` for `label_l` is what the label says; `volume_l` is the water it was worked out
    for; `carbon_out` None: nobody said.
    """

    product: str
    label_ml: float | None = None
    label_l: float | None = None
    volume_l: float | None = None
    amount_ml: float | None = None
    carbon_out: bool | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Job(Entry):
    """A job. Liters, °C, treated and what follows only where the job has them.

    `media_share` is the share of the filter media that was replaced, 0 to 1. `mg_per_l` is the
    total ammonia (as N) that an addition was meant to reach. `grams` is fresh plant mass.
    `step` is the key of a starting or closing step that was ticked off.
    """

    job: JobKind
    liters_out: float | None = None
    liters_in: float | None = None
    treated: Treated | None = None
    new_water_c: float | None = None
    rinse: Rinse | None = None
    media_share: float | None = None
    mg_per_l: float | None = None
    grams: float | None = None
    plant_id: int | None = None
    step: str = ""
    treatment: Treatment | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StockEvent(Entry):
    """A change in a group of animals; `count` is animals moved, or the new count (recounted).

    For `measured` it is how many were measured, and `length_cm` their mean total length.
    `apart_days` is how long new animals were kept apart before; None: nobody knows.
    A `hidden` loss is not shown to pupils and families until an adult releases it.
    """

    what: StockEventKind
    group_id: int
    group_name: str = ""
    count: int = 0
    batch_id: int | None = None
    length_cm: float | None = None
    apart_days: int | None = None
    hidden: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation(Entry):
    """A look at the tank. `seen` is the number of fish counted, None when nobody counted.

    `algae` goes from 0 (none) to 3 (everywhere).
    """

    seen: int | None = None
    expected: int | None = None
    lid_closed: bool | None = None
    plug_on: bool | None = None
    breathing_calm: bool | None = None
    algae: int | None = None
    signs: tuple[Sign, ...] = ()
    note: str = ""
