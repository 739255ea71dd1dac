"""What a logger's file holds: readings, what has to be asked, bad rows, doubles and gaps.

Pure: content in, preview out. The same preview is shown before saving and then saved.
"""

import hashlib
import statistics
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, timezone
from itertools import pairwise
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from app.domain import logger_times
from app.domain.errors import Refused
from app.domain.guard import number_from
from app.domain.logger_table import (
    LONGEST_CELL,
    MOST_COLUMNS,
    ColumnChoice,
    Layout,
    Question,
    Row,
    decoded,
    layout_of,
    rows,
    unit_in,
    zone_in,
)
from app.domain.quantities import FACTS, Quantity, Unit

__all__ = ["BadRow", "ColumnChoice", "Gap", "LoggerPreview", "LoggerReading", "read_logger"]

MOST_ROWS: Final = 500_000
MOST_BAD_ROWS_KEPT: Final = 100
CLOCK_SLIP: Final = timedelta(minutes=5)
EARLIEST: Final = datetime(1970, 1, 1, tzinfo=UTC)
_NOT_MEASURED: Final = frozenset({"", "-", "--", "---", "na", "n/a", "nan", "null", "none"})
# a gap is longer than the usual step and half of it
_GAP_IN_STEPS: Final = 1.5

Progress = Callable[[int, int], None]


class LoggerReading(NamedTuple):
    """One reading: its moment in UTC, the value in the kept unit, and what stood in the file."""

    at: datetime
    value: float
    typed: str


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that cannot be read, and why."""

    line: int
    reason: str


@dataclass(frozen=True, slots=True)
class Gap:
    """Time without readings, from the last one before it to the first one after it."""

    start: datetime
    end: datetime

    @property
    def length(self) -> timedelta:
        """How long it is."""
        return self.end - self.start


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggerPreview:
    """What a file holds. With questions left there are no readings yet.

    `readings` ascend in time and hold each moment once. `rows` counts the rows under the
    headings, `blanks` those without a value, `doubles` those that say the same again.
    """

    quantity: Quantity
    headings: tuple[str, ...]
    time_heading: str
    value_heading: str
    unit: str
    zone: str
    questions: tuple[Question, ...] = ()
    readings: tuple[LoggerReading, ...] = ()
    rows: int = 0
    blanks: int = 0
    doubles: int = 0
    bad_rows: tuple[BadRow, ...] = ()
    bad_count: int = 0
    gaps: tuple[Gap, ...] = ()
    step: timedelta | None = None

    @property
    def is_ready(self) -> bool:
        """Whether it can be saved."""
        return bool(self.readings) and not self.questions and not self.bad_count

    @property
    def longest_gap(self) -> Gap | None:
        """The longest gap, or None."""
        return max(self.gaps, key=lambda gap: gap.length, default=None)

    @property
    def lowest(self) -> float:
        """The lowest value, in the kept unit."""
        return min(reading.value for reading in self.readings)

    @property
    def highest(self) -> float:
        """The highest value, in the kept unit."""
        return max(reading.value for reading in self.readings)

    @property
    def mean(self) -> float:
        """The mean of the values, in the kept unit."""
        return statistics.fmean(reading.value for reading in self.readings)


def digest_of(readings: tuple[LoggerReading, ...] | list[LoggerReading]) -> str:
    """What tells one set of readings from another, whatever file it came in."""
    found = hashlib.sha256()
    for reading in readings:
        found.update(f"{reading.at.isoformat()} {reading.value:.6f}\n".encode())
    return found.hexdigest()


def _nobody(_done: int, _whole: int) -> None:
    """No one watches."""


def read_logger(
    content: bytes | str,
    choice: ColumnChoice,
    *,
    now: datetime,
    quantity: Quantity = Quantity.TEMPERATURE,
    progress: Progress = _nobody,
) -> LoggerPreview:
    """Read a logger's file, or find out what has to be asked first.

    Raises:
        Refused: If the content is no table, a chosen column, unit or zone does not exist, or it
            is too large; the text names the line where one is to blame.
    """
    text = decoded(content)
    layout = layout_of(text, choice)
    unit = choice.unit or unit_in(layout.heading(layout.value))
    zone = choice.zone or zone_in(layout.heading(layout.time))
    day_first = choice.day_first
    if layout.time is not None and day_first is None:
        day_first = logger_times.day_first_in(_column(text, layout, layout.time))
    questions = tuple(_questions(text, layout, unit, zone, day_first))
    preview = LoggerPreview(
        quantity=quantity,
        headings=layout.headings,
        time_heading=layout.heading(layout.time),
        value_heading=layout.heading(layout.value),
        unit=unit,
        zone=zone,
        questions=questions,
    )
    if questions or layout.time is None or layout.value is None:
        return preview
    how = _Reading(
        time=layout.time,
        hour=layout.hour,
        value=layout.value,
        unit=_unit_named(quantity, unit),
        zone=_zone_named(zone or "UTC"),
        day_first=bool(day_first),
        latest=now + CLOCK_SLIP,
    )
    reader = _Reader(layout, how, FACTS[quantity].impossible)
    whole = text.count("\n") or text.count("\r") or 1
    for row in _data(text, layout):
        reader.take(row)
        if not row.line % 500:
            progress(row.line, whole)
    return reader.finished(preview)


def _data(text: str, layout: Layout) -> Iterator[Row]:
    for row in rows(text, layout.delimiter):
        if row.line > layout.heading_line or _is_data(row, layout):
            yield row


def _is_data(row: Row, layout: Layout) -> bool:
    """Whether the row taken for headings is one of a file without headings."""
    return (
        row.line == layout.heading_line
        and layout.value is not None
        and number_from(row.cells[layout.value]) is not None
    )


def _column(text: str, layout: Layout, column: int) -> Iterator[str]:
    for row in _data(text, layout):
        if column < len(row.cells):
            yield row.cells[column].strip()


def _questions(
    text: str, layout: Layout, unit: str, zone: str, day_first: bool | None
) -> Iterator[Question]:
    headings = tuple(h.strip()[:60] for h in layout.headings if h.strip())
    if layout.time is None:
        yield Question("time", "Which column holds date and time?", headings)
    if layout.value is None:
        yield Question("value", "Which column holds the temperature of the water?", headings)
    if not unit:
        yield Question("unit", "In which unit does the logger measure?", ("°C", "°F"))
    first = next(_column(text, layout, layout.time), "") if layout.time is not None else ""
    if not zone and not logger_times.carries_offset(first):
        yield Question("zone", "On which clock does the logger run?")
    if day_first is None and logger_times.is_short_date(first):
        options = ("month-first", "day-first")
        yield Question("dates", f"Does {first[:20]} begin with the month or the day?", options)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reading:
    """How to read a row: where things stand, and what they are in."""

    time: int
    hour: int | None
    value: int
    unit: Unit
    zone: ZoneInfo | timezone
    day_first: bool
    latest: datetime


class _Reader:
    """Takes rows one by one and keeps what they hold."""

    def __init__(self, layout: Layout, how: _Reading, possible: tuple[float, float]) -> None:
        self._layout = layout
        self._how = how
        self._possible = possible
        self._by_moment: dict[datetime, tuple[LoggerReading, int]] = {}
        self._before: datetime | None = None
        self._bad: list[BadRow] = []
        self._rows = self._blanks = self._doubles = self._bad_count = 0

    def take(self, row: Row) -> None:
        """Keep what one row says, or why it says nothing."""
        self._rows += 1
        if self._rows > MOST_ROWS:
            raise Refused(f"Up to {MOST_ROWS:,} rows can be read at once. Cut the file in two.")
        try:
            self._keep(row)
        except ValueError as reason:
            self._bad_count += 1
            if len(self._bad) < MOST_BAD_ROWS_KEPT:
                self._bad.append(BadRow(row.line, f"{reason}"))

    def _keep(self, row: Row) -> None:
        how, heading = self._how, self._layout.heading
        typed = self._cell(row, how.value)
        if typed.casefold() in _NOT_MEASURED:
            self._blanks += 1
            return
        text = self._cell(row, how.time)
        hour = None if how.hour is None else self._cell(row, how.hour)
        try:
            at = logger_times.moment_of(
                text, hour, how.zone, day_first=how.day_first, after=self._before
            )
        except ValueError as reason:
            raise ValueError(f"{heading(how.time)}: {reason}") from None
        if not EARLIEST <= at <= how.latest:
            raise ValueError(f"{heading(how.time)}: {text} is before 1970 or has not come yet")
        self._before = at
        self._put(LoggerReading(at, self._value(typed), typed), row.line)

    def _put(self, reading: LoggerReading, line: int) -> None:
        other = self._by_moment.setdefault(reading.at, (reading, line))
        if other[1] == line:
            return
        if other[0].value != reading.value:
            raise ValueError(
                f"{reading.typed} at the time for which line {other[1]} says {other[0].typed}"
            )
        self._doubles += 1

    def _cell(self, row: Row, column: int) -> str:
        heading = self._layout.heading(column)
        if column >= len(row.cells):
            raise ValueError(f"{heading}: the row ends before it")
        if len(row.cells) > MOST_COLUMNS:
            raise ValueError(f"{len(row.cells)} columns are too many")
        cell = row.cells[column].strip()
        if len(cell) > LONGEST_CELL or "\0" in cell:
            raise ValueError(f"{heading}: no such text can be read")
        return cell

    def _value(self, typed: str) -> float:
        heading, unit = self._layout.heading(self._how.value), self._how.unit
        number = number_from(typed.removesuffix(unit.symbol).strip())
        if number is None:
            raise ValueError(f"{heading}: {typed[:40]} is no number")
        kept = unit.to_kept(float(number))
        low, high = self._possible
        if not low <= kept <= high:
            raise ValueError(f"{heading}: {typed} {unit.symbol} cannot be")
        return kept

    def finished(self, preview: LoggerPreview) -> LoggerPreview:
        """The preview with all that was kept."""
        readings = tuple(reading for reading, _ in sorted(self._by_moment.values()))
        steps = [later.at - earlier.at for earlier, later in pairwise(readings)]
        step = statistics.median_low(steps) if steps else None
        gaps = () if step is None else tuple(
            Gap(earlier.at, later.at)
            for earlier, later in pairwise(readings)
            if later.at - earlier.at > step * _GAP_IN_STEPS
        )  # fmt: skip
        return replace(
            preview,
            readings=readings,
            rows=self._rows,
            blanks=self._blanks,
            doubles=self._doubles,
            bad_rows=tuple(self._bad),
            bad_count=self._bad_count,
            gaps=gaps,
            step=step,
        )


def _unit_named(quantity: Quantity, symbol: str) -> Unit:
    try:
        return FACTS[quantity].unit_named(symbol)
    except KeyError:
        raise Refused(f"{FACTS[quantity].label} is not measured in {symbol[:20]}.") from None


def _zone_named(text: str) -> ZoneInfo | timezone:
    try:
        return logger_times.zone_named(text)
    except ValueError as error:
        raise Refused(str(error)) from None
