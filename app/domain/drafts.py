"""What somebody wants to write down, before it is an entry. Quantities in kept units."""

from dataclasses import dataclass
from typing import Final

from app.domain.records import JobKind, Rinse, Sign, StockEventKind, Treated, Treatment

# what is typed beyond these is a slip of the pen (the project's own choice)
MOST_SCOOPS: Final = 50
MOST_LITERS: Final = 5000
MOST_ANIMALS: Final = 10_000
LONGEST_NOTE: Final = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class NewMeal:
    """A meal: scoops, or words where no scoop was used."""

    scoops: float | None = 1.0
    amount_words: str = ""
    left_over: bool | None = None
    minutes_to_eat: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewTest:
    """A water test; its readings are handed over beside it."""

    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewJob:
    """A job; liters out and in, new water in °C. What the fields mean: `records.Job`."""

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
class NewStockEvent:
    """A change in a group; `count` is animals, or the new count for a recount."""

    what: StockEventKind
    group_id: int
    count: int
    batch_id: int | None = None
    length_cm: float | None = None
    apart_days: int | None = None
    hidden: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLook:
    """A look at the tank; None is "not looked at"."""

    seen: int | None = None
    lid_closed: bool | None = None
    plug_on: bool | None = None
    breathing_calm: bool | None = None
    algae: int | None = None
    signs: tuple[Sign, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewNote:
    """Words about the tank; nobody looked for the record, so they are no look."""

    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLoggerImport:
    """One import of a logger's file."""

    file_name: str
    rows: int


Draft = NewMeal | NewTest | NewJob | NewStockEvent | NewLook | NewNote | NewLoggerImport
