"""What a chart shows: points of one quantity, bands with their source, events on a strip."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from app.domain.quantities import Quantity

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Point:
    """One reading for a chart, in the shown unit; low and high None for a meter reading.

    `note` stands beside it in the table.
    """

    at: datetime
    value: float | None
    low: float | None = None
    high: float | None = None
    open_top: bool = False
    kit_id: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Logged:
    """The readings of loggers as columns of one length, ascending in time.

    A row is one reading. Over a long time only the lowest and the highest of each day are rows,
    and one of them stands for all readings of its day.

    Attributes:
        seconds: Since the beginning of 1970 in UTC.
        values: In the shown unit.
        counts: How many readings the row stands for: 1, or those of its day, or 0.
        totals: Their sum, in the shown unit.
    """

    seconds: FloatArray
    values: FloatArray
    counts: IntArray
    totals: FloatArray

    def __len__(self) -> int:
        """How many rows."""
        return int(self.seconds.size)


@dataclass(frozen=True, slots=True)
class Band:
    """A range with its edges, in the shown unit, and where it comes from."""

    low: float | None
    high: float | None
    label: str
    source: str


@dataclass(frozen=True, slots=True)
class Mark:
    """An event on the strip under the chart: 'change', 'fish' or 'filter'."""

    at: datetime
    kind: str
    label: str = ""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time to shade: 'away' (nobody was meant to come) or 'lights'."""

    start: datetime
    end: datetime
    kind: str
    label: str = ""


@dataclass(frozen=True, slots=True)
class Ahead:
    """What is expected at a moment: low, best, high. An estimate, never a reading.

    `note` stands beside it in the table.
    """

    at: datetime
    low: float
    best: float
    high: float
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """All that one chart shows. `points` and `ahead` ascend in time; times are aware UTC.

    Readings lie between `start` and `end`; those of loggers, where there are many, in `logged`.
    `ahead`, in the shown unit, goes on from there to `until`, where the picture ends. `now` is
    the present moment, drawn as an upright line when it lies inside the chart.
    """

    quantity: Quantity
    tank_name: str
    unit: str
    decimals: int
    zone: str
    start: datetime
    end: datetime
    points: tuple[Point, ...]
    bands: tuple[Band, ...] = ()
    marks: tuple[Mark, ...] = ()
    spans: tuple[Span, ...] = ()
    now: datetime | None = None
    ahead: tuple[Ahead, ...] = ()
    logged: Logged | None = None

    @property
    def count(self) -> int:
        """How many readings there are."""
        return len(self.points) + (0 if self.logged is None else int(self.logged.counts.sum()))

    @property
    def until(self) -> datetime:
        """The right edge: the end of the record, or of what is expected after it."""
        return max(self.end, self.ahead[-1].at) if self.ahead else self.end


class Laid(StrEnum):
    """How a second stretch of time is laid over a first, to compare the two."""

    DATE = "date"
    AGE = "age"
    START = "start"
