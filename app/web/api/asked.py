"""What programs send: query parameters and bodies, as shapes."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from itertools import groupby
from math import ceil, floor
from typing import Annotated, Any, Final, Literal

from app.domain.drafts import Draft, NewJob, NewLook, NewMeal, NewTest
from app.domain.quantities import FACTS, Quantity, QuantityFacts, Unit
from app.domain.records import EntryKind, JobKind, Rinse, Sign, Treated
from app.services.api.device import MOST_AT_ONCE, DeviceReading
from app.services.api.measured import LARGEST, Measured
from app.web.api.shapes import Items, Span, Text

LONGEST_PAGE: Final = 500
MOST_MEASURED: Final = 22
"""In one entry: each quantity twice."""

Basis = Annotated[
    str,
    Text(most=16),
    "As what it is counted, as listed for the unit; may be left out where that is clear.",
]
Confirmed = Annotated[bool, "True: it is far from what is usual here, and measured once more."]
When = Annotated[
    datetime, "When, with an offset (RFC 3339), from 2000 on and not ahead; left out: now."
]
Note = Annotated[str, Text(), "Words about it. An adult reads them before others do."]
Liters = Annotated[float, Span(0, 5000), "Liters."]
Celsius = Annotated[float, Span(0, 45), "°C."]


# queries


@dataclass(frozen=True, slots=True, kw_only=True)
class _PageAsked:
    """Which part of a history, the newest first."""

    since: Annotated[datetime, "From this moment on."] | None = None
    until: Annotated[datetime, "Up to this moment."] | None = None
    limit: Annotated[int, Span(1, LONGEST_PAGE), "How many at most."] = 100
    cursor: Annotated[str, Text(1, 120), "`next_cursor` of the page before."] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsAsked(_PageAsked):
    """Which readings."""

    quantity: Annotated[Quantity, "Of one quantity only."] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EntriesAsked(_PageAsked):
    """Which entries."""

    kind: (
        Annotated[
            Literal["feeding", "water_test", "logger", "job", "stock_event", "observation"],
            "Of one kind only.",
        ]
        | None
    ) = None
    all: Annotated[bool, "Also those that were corrected or taken back."] = False

    @property
    def kinds(self) -> tuple[EntryKind, ...]:
        """The kinds that are asked for; none means all."""
        return () if self.kind is None else (EntryKind(self.kind),)


# values


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """A measured value, in one of the units of its quantity."""

    quantity: Quantity
    value: Annotated[Decimal, Span(-LARGEST, LARGEST), "Six decimals are kept."]
    unit: Annotated[str, Text(most=16), "As listed for the quantity."]
    basis: Basis | None = None
    confirmed: Confirmed = False

    def measured(self) -> Measured:
        """The value for the guard."""
        return Measured(
            quantity=self.quantity,
            value=self.value,
            unit=self.unit,
            basis=self.basis,
            confirmed=self.confirmed,
        )

    @staticmethod
    def more_schema() -> Mapping[str, Any]:
        """Which units each quantity takes, and what is possible in each."""
        return {"anyOf": [way for facts in FACTS.values() for way in _ways(facts)]}


def _ways(facts: QuantityFacts) -> list[dict[str, Any]]:
    """The ways in which a quantity may be sent, one for each unit and basis."""
    found: list[dict[str, Any]] = []
    by_symbol = sorted(facts.units, key=lambda unit: unit.symbol)
    for symbol, units in groupby(by_symbol, key=lambda unit: unit.symbol):
        same = list(units)
        found += [_way(facts, symbol, unit, clear=len(same) == 1) for unit in same]
    return found


def _way(facts: QuantityFacts, symbol: str, unit: Unit, *, clear: bool) -> dict[str, Any]:
    low, high = (unit.from_kept(end) for end in facts.impossible)
    basis: dict[str, Any] = {"const": unit.basis}
    return {
        "title": f"{facts.label} {symbol} {unit.basis}".strip(),
        "properties": {
            "quantity": {"const": facts.quantity.value},
            "unit": {"const": symbol},
            "basis": {"enum": [unit.basis, None]} if clear else basis,
            # rounded inward: what stands in the document is possible
            "value": {"minimum": ceil(low * 100) / 100, "maximum": floor(high * 100) / 100},
        },
        "required": ["quantity", "unit", "value", *([] if clear else ["basis"])],
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedValue(Value):
    """A value that a device measured, with its moment."""

    at: When | None = None

    def of_device(self) -> DeviceReading:
        """The value for the entry of its day."""
        return DeviceReading(self.measured(), self.at)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsSent:
    """What a device measured, in any order: all of it is saved, or nothing."""

    readings: Annotated[tuple[TimedValue, ...], Items(1, MOST_AT_ONCE)]


# entries


@dataclass(frozen=True, slots=True, kw_only=True)
class _EntrySent:
    at: When | None = None
    readings: Annotated[
        tuple[Value, ...], Items(0, MOST_MEASURED), "What was measured with it."
    ] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedingSent(_EntrySent):
    """A meal."""

    kind: Literal["feeding"]
    scoops: Annotated[float, Span(0.1, 50), "Flat scoops of the tank's own scoop."]
    again: Annotated[bool, "True: food really went in, whatever speaks against it."] = False

    def draft(self) -> Draft:
        """What to write down."""
        return NewMeal(scoops=self.scoops)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterTestSent:
    """A water test."""

    kind: Literal["water_test"]
    readings: Annotated[tuple[Value, ...], Items(1, MOST_MEASURED)]
    at: When | None = None
    note: Note = ""

    def draft(self) -> Draft:
        """What to write down."""
        return NewTest(note=self.note.strip())


@dataclass(frozen=True, slots=True, kw_only=True)
class LookSent(_EntrySent):
    """A look at the tank. What nobody looked at is left out; it is never false or 0."""

    kind: Literal["observation"]
    seen: Annotated[int, Span(0, 10_000), "How many animals were counted."] | None = None
    lid_closed: bool | None = None
    plug_on: bool | None = None
    breathing_calm: bool | None = None
    algae: Annotated[int, Span(0, 3), "0 none, 3 everywhere."] | None = None
    signs: Annotated[tuple[Sign, ...], Items(0, len(Sign))] = ()
    note: Note = ""
    confirmed: Annotated[bool, "True: more were counted than are written down."] = False

    def draft(self) -> Draft:
        """What to write down."""
        return NewLook(
            seen=self.seen,
            lid_closed=self.lid_closed,
            plug_on=self.plug_on,
            breathing_calm=self.breathing_calm,
            algae=self.algae,
            signs=tuple(dict.fromkeys(self.signs)),
            note=self.note.strip(),
        )

    def complaint(self) -> str:
        """What is wrong with the whole, or ""."""
        says_nothing = self.draft() == NewLook() and not self.readings
        return "Send at least one thing that was seen." if says_nothing else ""

    @staticmethod
    def more_schema() -> Mapping[str, Any]:
        """That it says at least one thing."""
        said = {
            **{name: {"type": "boolean"} for name in ("lid_closed", "plug_on", "breathing_calm")},
            **{name: {"type": "integer"} for name in ("seen", "algae")},
            **{name: {"minItems": 1} for name in ("signs", "readings")},
            "note": {"pattern": "[A-Za-z0-9]"},
        }
        return {
            "anyOf": [{"required": [name], "properties": {name: how}} for name, how in said.items()]
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterChangeSent(_EntrySent):
    """A water change."""

    kind: Literal["job"]
    job: Literal["water_change"]
    liters_out: Liters
    liters_in: Annotated[float, Span(0, 5000), "Liters; left out: as much as came out."] | None = (
        None
    )
    treated: Annotated[Treated, "Whether conditioner was in it."]
    new_water_c: Celsius | None = None
    note: Note = ""

    def draft(self) -> Draft:
        """What to write down."""
        poured = self.liters_out if self.liters_in is None else self.liters_in
        return NewJob(
            job=JobKind.WATER_CHANGE,
            liters_out=self.liters_out,
            liters_in=poured,
            treated=self.treated,
            new_water_c=self.new_water_c,
            note=self.note.strip(),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class TopUpSent(_EntrySent):
    """Water that only makes up for what evaporated."""

    kind: Literal["job"]
    job: Literal["top_up"]
    liters_in: Liters
    treated: Annotated[Treated, "Whether conditioner was in it."]
    new_water_c: Celsius | None = None
    note: Note = ""

    def draft(self) -> Draft:
        """What to write down."""
        return NewJob(
            job=JobKind.TOP_UP,
            liters_in=self.liters_in,
            treated=self.treated,
            new_water_c=self.new_water_c,
            note=self.note.strip(),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterRinseSent(_EntrySent):
    """A rinse of the filter."""

    kind: Literal["job"]
    job: Literal["filter_rinse"]
    rinse: Annotated[Rinse, "In what: water of the tank, treated tap water, untreated tap water."]
    note: Note = ""

    def draft(self) -> Draft:
        """What to write down."""
        return NewJob(job=JobKind.FILTER_RINSE, rinse=self.rinse, note=self.note.strip())


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSent(_EntrySent):
    """Another small job.

    Treatments, checks of mains equipment and the like belong to the pages, which show what to know
    before hands get wet.
    """

    kind: Literal["job"]
    job: Literal["glass", "siphon", "leftovers", "conditioner", "light_timer", "kit_check", "other"]
    note: Note = ""

    def draft(self) -> Draft:
        """What to write down."""
        kind = JobKind(self.job)
        treated = Treated.YES if kind is JobKind.CONDITIONER else None
        return NewJob(job=kind, treated=treated, note=self.note.strip())


EntrySent = (
    FeedingSent | WaterTestSent | LookSent | WaterChangeSent | TopUpSent | FilterRinseSent | JobSent
)
