"""What the readings of a month show: a gap, a reading far off, a step, a trend and the like.

All functions take the readings of one quantity in order of time and look for one kind of feature.
They find it or return None; nobody is to blame for any of them.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from math import isnan
from statistics import fmean, median

from app.science import series
from app.science.series import Direction


class FeatureKind(StrEnum):
    """What can be found; the most telling first."""

    OUTLIER = "outlier"
    READERS = "readers"
    STEP = "step"
    HOLES = "holes"
    GAP = "gap"
    SETTLES = "settles"
    TREND = "trend"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One reading in the shown unit, with as many decimals as a table shows.

    `low` and `high` bound a color of a card and are None for a meter; `high` None with a `low`: the
    card's last color or more. `seen` is what each of several readers of one tube saw, ascending.
    """

    at: datetime
    day: date
    value: float
    low: float | None = None
    high: float | None = None
    seen: tuple[float, ...] = ()

    @property
    def least(self) -> float:
        """The lowest it could be."""
        return self.value if self.low is None else self.low

    @property
    def most(self) -> float:
        """The highest it could be; infinite where the card has no end."""
        if self.low is None:
            return self.value
        return float("inf") if self.high is None else self.high


@dataclass(frozen=True, slots=True)
class Change:
    """A water change, and the share of the water that it swapped, 0 to 1."""

    at: datetime
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """From where on something counts as a feature.

    `resolution` is the smallest difference that means anything, above 0, in the shown unit.
    `gap_days` and `holes` are whole; `step_fit`, `share_apart` and `confidence` are shares of 1.
    """

    resolution: float
    rows: int
    gap_days: int
    holes: int
    outlier: float
    step_side: int
    step_size: float
    step_fit: float
    readers: int
    pairs: int
    share_apart: float
    confidence: float


@dataclass(frozen=True, slots=True)
class Feature:
    """What was found, at which rows, and how many times as clearly as its limit asks.

    `places` are the reading far off, the tube of several readers, the first reading after a step,
    the last one before each hole or the gap, or the first of each pair with a water change between.
    A trend has none: it is of all readings.
    """

    kind: FeatureKind
    places: tuple[int, ...]
    strength: float


def outlier(rows: Sequence[Row], limits: Limits) -> Feature | None:
    """One reading far from all others, with quiet readings beside it.

    A color of a card is far off where its range does not meet those of its neighbors.

    Source:
        Iglewicz and Hoaglin (1993), for the distance; see `science.series.distance_from_history`.
    """
    if len(rows) < limits.rows:
        return None
    values = [row.value for row in rows]
    away = [
        abs(
            series.distance_from_history(
                value, values[:i] + values[i + 1 :], resolution=limits.resolution
            )
        )
        for i, value in enumerate(values)
    ]
    far = [i for i, distance in enumerate(away) if distance > limits.outlier]
    if len(far) != 1 or not _apart_from_neighbors(rows, far[0]):
        return None
    return Feature(FeatureKind.OUTLIER, (far[0],), away[far[0]] / limits.outlier)


def _apart_from_neighbors(rows: Sequence[Row], place: int) -> bool:
    here = rows[place]
    beside = [rows[i] for i in (place - 1, place + 1) if 0 <= i < len(rows)]
    return all(here.least > other.most or here.most < other.least for other in beside)


def readers(rows: Sequence[Row], limits: Limits) -> Feature | None:
    """The tube on which several readers saw the most different things."""
    found = [i for i, row in enumerate(rows) if len(row.seen) >= limits.readers]
    odd = [i for i in found if len(set(rows[i].seen)) > 1]
    if not odd:
        return None
    place = max(odd, key=lambda i: (len(set(rows[i].seen)), len(rows[i].seen), i))
    return Feature(FeatureKind.READERS, (place,), float(len(set(rows[place].seen))))


def step(rows: Sequence[Row], limits: Limits) -> Feature | None:
    """A level that changed from one reading to the next and stayed there.

    It is the largest move from one reading to the next, and two levels fit clearly better than a
    straight line does. With colors of a card every range after the step must lie beyond every range
    before it.
    """
    moves = [abs(rows[i].value - rows[i - 1].value) for i in range(1, len(rows))]
    if len(rows) < 2 * limits.step_side or moves.count(max(moves)) > 1:
        return None
    place = moves.index(max(moves)) + 1
    if not limits.step_side <= place <= len(rows) - limits.step_side:
        return None
    return _step_at(rows, place, limits)


def _step_at(rows: Sequence[Row], place: int, limits: Limits) -> Feature | None:
    before, after = rows[:place], rows[place:]
    if any(row.low is not None for row in rows) and not _beyond(before, after):
        return None
    old, new = (median(row.value for row in part) for part in (before, after))
    middle, rose = (old + new) / 2.0, new > old
    edge = (*before[-limits.step_side :], *after[: limits.step_side])
    sides = [(row.value > middle) is rose for row in edge]
    if sides != [False] * limits.step_side + [True] * limits.step_side:
        return None
    off = [abs(row.value - old) for row in before] + [abs(row.value - new) for row in after]
    size = abs(new - old) / max(series.SD_PER_MAD * median(off), limits.resolution)
    if size < limits.step_size or fmean(off) > limits.step_fit * _off_a_line(rows):
        return None
    return Feature(FeatureKind.STEP, (place,), size / limits.step_size)


def _beyond(before: Sequence[Row], after: Sequence[Row]) -> bool:
    """Whether all of one side surely lie above, or below, all of the other."""
    rose = min(row.least for row in after) > max(row.most for row in before)
    fell = max(row.most for row in after) < min(row.least for row in before)
    return rose or fell


def _off_a_line(rows: Sequence[Row]) -> float:
    """The mean distance from a straight line through the readings that no wild one bends."""
    days, values = _days(rows), [row.value for row in rows]
    slope = series.robust_slope(days, values)
    if isnan(slope):
        return 0.0
    rest = [value - slope * day for day, value in zip(days, values, strict=True)]
    level = median(rest)
    return fmean(abs(each - level) for each in rest)


def holes(
    rows: Sequence[Row], limits: Limits, somebody_comes: Callable[[date], bool]
) -> Feature | None:
    """Breaks in the row of days that hold only days on which nobody is meant to come."""
    found = tuple(
        i
        for i in range(len(rows) - 1)
        if (between := _days_between(rows[i].day, rows[i + 1].day))
        and not any(somebody_comes(day) for day in between)
    )
    if len(found) < limits.holes:
        return None
    return Feature(FeatureKind.HOLES, found, len(found) / limits.holes)


def gap(rows: Sequence[Row], limits: Limits) -> Feature | None:
    """The longest run of days without a reading."""
    if len(rows) < limits.rows:
        return None
    empty = [len(_days_between(rows[i].day, rows[i + 1].day)) for i in range(len(rows) - 1)]
    place = max(range(len(empty)), key=empty.__getitem__)
    usual = median(empty)
    if empty[place] < max(limits.gap_days, 2 * usual):
        return None
    return Feature(FeatureKind.GAP, (place,), empty[place] / limits.gap_days)


def _days_between(first: date, last: date) -> list[date]:
    """The days after one and before the other."""
    return [date.fromordinal(n) for n in range(first.toordinal() + 1, last.toordinal())]


def trend(rows: Sequence[Row], limits: Limits) -> Feature | None:
    """Readings that go up, or down, more than chance or the steps of a card explain.

    Source:
        `science.series.slope_interval` for meters, `science.series.direction` for cards.
    """
    if len(rows) < limits.rows or rows[0].day == rows[-1].day:
        return None
    if any(row.low is not None for row in rows):
        way = series.direction([row.least for row in rows], [row.most for row in rows])
        told = way in {Direction.UP, Direction.DOWN} and (
            (rows[-1].value > rows[0].value) is (way is Direction.UP)
        )
        return Feature(FeatureKind.TREND, (), 1.0) if told else None
    days, values = _days(rows), [row.value for row in rows]
    slope = series.slope_interval(days, values, confidence=limits.confidence)
    moved = abs(rows[-1].value - rows[0].value)
    if not slope.low * slope.high > 0.0 or moved <= limits.resolution:
        return None
    if (rows[-1].value > rows[0].value) is not (slope.middle > 0.0):
        return None
    nearest = min(abs(slope.low), abs(slope.high))
    # an interval that keeps away from 0 by half its middle is twice as clear as need be
    return Feature(FeatureKind.TREND, (), 2.0 * nearest / abs(slope.middle))


def settles(
    rows: Sequence[Row], changes: Sequence[Change], tap: float | None, limits: Limits
) -> Feature | None:
    """Readings with just one water change between two of them, often enough to tell a settle point.

    The changes must be alike. Colors of a card tell it only while they stay the same.
    """
    pairs = pairs_of(rows, changes)
    if tap is None or len(pairs) < limits.pairs:
        return None
    shares = [change.share for _, change in pairs]
    if max(shares) - min(shares) > limits.share_apart or not 0.0 < common_share(pairs) < 1.0:
        return None
    ends = [rows[i + step_].value for i, _ in pairs for step_ in (0, 1)]
    if any(row.low is not None for row in rows) and len(set(ends)) > 1:
        return None
    moves = added_between(rows, pairs, tap)
    if fmean(moves) <= 0.0:
        return None
    return Feature(FeatureKind.SETTLES, tuple(i for i, _ in pairs), len(pairs) / limits.pairs)


def pairs_of(rows: Sequence[Row], changes: Sequence[Change]) -> list[tuple[int, Change]]:
    """Rows with just one change between them and the next one, by the first of both."""
    found = []
    for i in range(len(rows) - 1):
        between = [c for c in changes if rows[i].at <= c.at < rows[i + 1].at]
        if len(between) == 1:
            found.append((i, between[0]))
    return found


def common_share(pairs: Sequence[tuple[int, Change]]) -> float:
    """The mean share of these changes, to a whole percent, 0 to 1."""
    return round(fmean(change.share for _, change in pairs) * 100.0) / 100.0


def added_between(
    rows: Sequence[Row], pairs: Sequence[tuple[int, Change]], tap: float
) -> list[float]:
    """What the tank added in each pair, beside what its water change took out."""
    share = common_share(pairs)
    return [rows[i + 1].value - (rows[i].value - share * (rows[i].value - tap)) for i, _ in pairs]


def _days(rows: Sequence[Row]) -> list[float]:
    return [(row.at - rows[0].at).total_seconds() / 86400.0 for row in rows]
