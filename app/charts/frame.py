"""Where things stand on the sheet: fixed margins, the scale of values, the strip of events."""

import itertools
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np

from app.charts.readings import Readings, edges
from app.charts.reduce import FloatArray
from app.charts.style import WIDTH
from app.domain.quantities import Quantity
from app.domain.series import Series

TOP: Final = 26.0
FOOT: Final = 40.0
RIGHT: Final = 26.0
PLOT: Final = 300.0
ROW: Final = 22.0

# These have no meaningful zero; every other quantity is an amount and its scale starts at 0
_WITHOUT_ZERO: Final = frozenset({Quantity.TEMPERATURE, Quantity.PH})


@dataclass(frozen=True, slots=True)
class Scale:
    """The scale of values: `low` to `high` with ticks, in the shown unit."""

    low: float
    high: float
    ticks: tuple[float, ...]
    decimals: int

    def words(self, value: float) -> str:
        """A tick's number as it is written beside it."""
        return f"{value:.{self.decimals}f}".replace("-", "−")


@dataclass(frozen=True, slots=True)
class Frame:
    """Turns moments and values into places on the sheet."""

    start: datetime
    seconds: float
    scale: Scale
    left: float
    rows: int

    @property
    def right(self) -> float:
        """The right edge of the plot."""
        return WIDTH - RIGHT

    @property
    def bottom(self) -> float:
        """Where the plot ends and the strip begins."""
        return TOP + PLOT

    @property
    def base(self) -> float:
        """The foot of the strip, on which the days stand."""
        return self.bottom + (ROW * self.rows + 8.0 if self.rows else 0.0)

    @property
    def height(self) -> float:
        """Height of the sheet."""
        return self.base + FOOT

    def row(self, number: int) -> float:
        """The middle of a row of the strip, counted from the top."""
        return self.bottom + 6.0 + ROW * (number + 0.5)

    def across(self, seconds: FloatArray) -> FloatArray:
        """Places across for seconds since the start."""
        return self.left + seconds / self.seconds * (self.right - self.left)

    def at(self, moment: datetime) -> float:
        """The place across for a moment, held inside the plot."""
        part = (moment - self.start).total_seconds() / self.seconds
        return self.left + min(1.0, max(0.0, part)) * (self.right - self.left)

    def down(self, values: FloatArray) -> FloatArray:
        """Places down for values, held inside the plot; infinity is its upper edge."""
        part = (values - self.scale.low) / (self.scale.high - self.scale.low)
        return self.bottom - np.clip(part, 0.0, 1.0) * PLOT

    def level(self, value: float) -> float:
        """The place down for one value."""
        return float(self.down(np.array([value]))[0])


def frame_for(series: Series, readings: tuple[Readings, Readings], rows: int) -> Frame:
    """The frame that holds all readings, of meters and of cards, what is ahead, and the bands."""
    scale = _scale(series, readings)
    longest = max((len(scale.words(t)) for t in scale.ticks), default=0)
    return Frame(
        series.start,
        (series.until - series.start).total_seconds(),
        scale,
        max(58.0, 14.0 + 15.0 * longest),  # room for letters at their largest
        rows,
    )


def _scale(series: Series, readings: tuple[Readings, Readings]) -> Scale:
    limits = [edge for band in series.bands for edge in edges(band) if edge is not None]
    steps = [p.value for p in readings[1].points if p.value is not None]
    ahead = [end for each in series.ahead for end in (each.low, each.high)]
    seen = (column for sort in readings for column in (sort.low, sort.high))
    numbers = np.concatenate([*seen, limits, steps, ahead])
    known = numbers[np.isfinite(numbers)]
    if not known.size:
        return Scale(0.0, 1.0, (), 0)
    low, high = float(known.min()), float(known.max())
    from_zero = series.quantity not in _WITHOUT_ZERO and low >= 0
    if from_zero:
        low = 0.0
    room = max(high - low, 10.0 ** (1 - series.decimals))
    if np.isposinf(numbers).any():
        high += 0.25 * room  # an open bar goes on above its last known value
    middle = (low + high) / 2
    if high - low < room and not from_zero:
        low, high = middle - room / 2, middle + room / 2
    high = max(high, low + room) + 0.1 * room
    low -= 0.0 if from_zero else 0.1 * room
    return Scale(low, high, *_ticks(low, high))


def _ticks(low: float, high: float) -> tuple[tuple[float, ...], int]:
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415 - only drawing pays for it

    places = MaxNLocator(6, steps=[1, 2, 5, 10]).tick_values(low, high)
    ticks = tuple(float(t) for t in places if low - 1e-9 <= t <= high + 1e-9)
    step = min((b - a for a, b in itertools.pairwise(ticks)), default=1.0)
    decimals = next((d for d in range(4) if abs(round(step, d) - step) < step * 1e-6), 4)
    return ticks, decimals
