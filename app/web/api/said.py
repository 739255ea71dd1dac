"""What programs are answered, as shapes. Nobody is named in any of them."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Literal

from app.domain.quantities import Quantity
from app.domain.records import JobKind, Rinse, Sign, StockEventKind, Treated

StateName = Literal["steady", "watch", "act", "act_now", "dont_know"]
SeverityName = Literal["info", "watch", "act", "emergency"]
MealName = Literal["not_fed", "fed", "no_food", "fed_twice"]
KindName = Literal["feeding", "water_test", "logger", "job", "stock_event", "observation"]
By = Annotated[
    Literal["adult", "helper", "program", "link", "import", "other"],
    "What kind of hands; nobody is named.",
]


# tanks


@dataclass(frozen=True, slots=True, kw_only=True)
class TankLine:
    """A tank in the list."""

    id: int
    name: str
    state: StateName
    state_word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tanks:
    """The tanks that this token reaches and that are not closed, the neediest first."""

    tanks: tuple[TankLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitsRead:
    """The units in which its people read; answers are in °C and liters all the same."""

    temperature: Literal["°C", "°F"]
    volume: Literal["L", "US gal"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Something to do, and why. `due_at` is since or until when."""

    key: str
    title: str
    reason: str
    severity: SeverityName
    due_at: datetime
    for_adults: Annotated[bool, "Whether it is for grown-ups only."]
    clears_when: Annotated[str, "What ends it."]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """A tank with its state and what is due."""

    id: int
    name: str
    place: Annotated[str, "Its household or school."]
    zone: Annotated[str, "Its time zone, by its name in the IANA database."]
    setting: Literal["home", "class"]
    closed_on: date | None
    revision: Annotated[int, "How often its record changed."]
    net_volume_l: Annotated[float, "Liters of water; null while its measures do not tell."] | None
    units_read: UnitsRead
    state: StateName
    state_word: str
    state_line: str
    tasks: tuple[Task, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Meal:
    """The answer to “May we feed?”."""

    state: MealName
    word: str
    facts: str
    advice: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """How long the last word on something keeps."""

    name: Annotated[str, "look, count, or a quantity."]
    label: str
    taken_at: Annotated[datetime, "Null: never."] | None
    keeps_until: datetime | None
    fresh: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaluated:
    """What can be said of a tank now; without a new entry it holds until `holds_until`."""

    state: StateName
    state_word: str
    state_line: str
    holds_until: datetime
    meal: Meal
    kept: tuple[Kept, ...]
    tasks: tuple[Task, ...]


# readings


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A reading that counts, in the kept unit, with what was typed.

    `value` is null where a color card was lighter or darker than all its colors; `low` and `high`
    are its ends, null for a meter, `high` null where the card has no end.
    """

    id: int
    entry_id: int
    entry_kind: KindName
    by: By
    at: datetime
    quantity: Quantity
    value: float | None
    low: float | None
    high: float | None
    unit: str
    basis: str
    typed: str
    typed_unit: str
    typed_basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """A page of readings, the newest first."""

    readings: tuple[Reading, ...]
    next_cursor: Annotated[str, "Null: this is the last page."] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What became of a device's post."""

    added: Annotated[int, "New ones."]
    known: Annotated[int, "Those of the same moment, quantity and value as one that was there."]
    different: Annotated[
        tuple[int, ...],
        "Places, from 0, of those whose moment had another value already; that one stays.",
    ]
    entry_ids: Annotated[tuple[int, ...], "The entries that hold them, one a local day."]


# entries


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedingDetail:
    """A meal; `grams` is null while the scoop was never weighed."""

    scoops: float | None
    grams: float | None
    left_over: bool | None
    minutes_to_eat: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggerDetail:
    """A logger: its readings are counted here and listed among the readings."""

    reading_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JobDetail:
    """A job; what it has not is null."""

    job: JobKind
    liters_out: float | None
    liters_in: float | None
    treated: Treated | None
    new_water_c: float | None
    rinse: Rinse | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StockEventDetail:
    """A change in a group of animals; losses come once the pupils know of them."""

    what: StockEventKind
    group: str
    count: int
    length_cm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LookDetail:
    """A look; null is “not looked at”."""

    seen: int | None
    lid_closed: bool | None
    plug_on: bool | None
    breathing_calm: bool | None
    algae: int | None
    signs: tuple[Sign, ...]


Detail = FeedingDetail | LoggerDetail | JobDetail | StockEventDetail | LookDetail


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """An entry with what was measured with it. Words that people wrote stay in the record."""

    id: int
    kind: KindName
    happened_at: datetime
    recorded_at: datetime
    local_day: date
    status: Literal["ok", "corrected", "withdrawn"]
    replaces: Annotated[int, "The entry that it corrects."] | None
    by: By
    detail: Detail | None
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entries:
    """A page of entries, the newest first."""

    entries: tuple[Entry, ...]
    next_cursor: Annotated[str, "Null: this is the last page."] | None


# what went wrong


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One place in what was sent."""

    where: Annotated[str, "A JSON pointer with #, or ? and a name of the query."]
    detail: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Problem details as in RFC 9457."""

    type: Literal["about:blank"]
    title: str
    status: int
    detail: str
    code: Annotated[str, "One word for what a program may want to tell apart."] = ""
    errors: tuple[Fault, ...] = ()
    number: Annotated[str, "Under this number the log holds more."] = ""
