"""The readings of one month as pupils see them: nameless, in the shown unit, as written."""

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.charts.days import clock_words, day_words
from app.domain.calendar import day_start, local_day
from app.domain.features import Row
from app.domain.quantities import FACTS, Quantity, Unit
from app.domain.records import EntryKind, EntryStatus
from app.domain.series import Point, Series
from app.domain.snapshot import TankSnapshot
from app.domain.tube import Seen, Tube
from app.domain.wording import color_text, readers_text, seen_text
from app.services.lessons.model import Table
from app.services.lessons.numbers import rounded
from app.services.story import ADDED_LATER
from app.storage.queries import lessons
from app.storage.queries.lessons import Measured

_NOTHING: Final = "–"
_THINNED: Final = "There are {} readings. Here stands the first one of each day."
FIXED: Final = "fixed later: not in the sums"
_NO_NUMBER: Final = "not in the sums"


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the table in words; without `counts` it is not in the sums."""

    at: datetime
    read: str
    could_be: str
    note: str
    counts: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthOf:
    """One quantity in one stretch of days, in the unit `unit`.

    `rows` are the readings that a sum takes, `points` those that the chart shows, `lines` all that
    the table shows; each ascending in time. `thinned_from` is how many readings there were where
    only the first of each day is taken, else 0.
    """

    quantity: Quantity
    unit: Unit
    decimals: int
    zone: str
    tank_name: str
    start: datetime
    end: datetime
    rows: tuple[Row, ...]
    points: tuple[Point, ...]
    lines: tuple[Line, ...]
    thinned_from: int = 0

    @property
    def symbol(self) -> str:
        """The unit with its basis: "mg/L as nitrate", or "" for pH."""
        return f"{self.unit.symbol} {FACTS[self.quantity].basis}".strip()

    def series(self) -> Series:
        """What the chart shows."""
        return Series(
            quantity=self.quantity,
            tank_name=self.tank_name,
            unit=self.unit.symbol,
            decimals=self.decimals,
            zone=self.zone,
            start=self.start,
            end=self.end,
            points=self.points,
        )

    def table(self) -> Table:
        """The table of the sheet."""
        more = {
            "Could be": [line.could_be for line in self.lines],
            "Note": [line.note for line in self.lines],
        }
        shown = {name: cells for name, cells in more.items() if any(cells)}
        return Table(
            caption=f"{FACTS[self.quantity].label}{f', {self.symbol}' if self.symbol else ''}",
            columns=("Day", "Time", "Read", *shown),
            rows=tuple(
                (*self._read(line), *(cells[i] or _NOTHING for cells in shown.values()))
                for i, line in enumerate(self.lines)
            ),
            numbers=(2,),
            struck=frozenset(i for i, line in enumerate(self.lines) if not line.counts),
            note=_THINNED.format(self.thinned_from) if self.thinned_from else "",
        )

    def _read(self, line: Line) -> tuple[str, ...]:
        day = day_words(local_day(line.at, self.zone))
        return day, clock_words(line.at, self.zone), line.read


def month_end(first: date) -> date:
    """The first day of the next month."""
    return (first.replace(day=1) + timedelta(days=32)).replace(day=1)


def month_rows(
    session: Session, snapshot: TankSnapshot, first: date, last: date, most: int
) -> tuple[MonthOf, ...]:
    """The readings from a day until before another, quantity by quantity, in their usual order.

    Args:
        session: Nothing is written.
        snapshot: The tank now; the days are its own.
        first: The first day.
        last: The day after the last one.
        most: With more readings of a quantity, the first of each day is taken.
    """
    zone = snapshot.site.zone
    # what was read this very moment is a part of the month
    until = snapshot.as_of + timedelta(seconds=1)
    start, end = day_start(first, zone), min(day_start(last, zone), until)
    if end <= start:
        return ()
    found = lessons.measured(session, snapshot.tank.id, start, end)
    by_quantity: dict[str, list[Measured]] = {}
    for each in found:
        by_quantity.setdefault(each.quantity, []).append(each)
    return tuple(
        _month(snapshot, quantity, by_quantity[quantity.value], (start, end), most)
        for quantity in Quantity
        if quantity.value in by_quantity
    )


def _month(
    snapshot: TankSnapshot,
    quantity: Quantity,
    found: Sequence[Measured],
    ends: tuple[datetime, datetime],
    most: int,
) -> MonthOf:
    zone, unit = snapshot.site.zone, snapshot.site.unit_of(quantity)
    shaper = _Shaper(unit, FACTS[quantity].decimals, zone)
    tubes = _tubes(found)
    counting = [tube for tube in tubes if _counts(tube[0])]
    thinned_from = 0
    if len(counting) > most:
        thinned_from = len(counting)
        counting = _first_of_days(counting, zone)
        tubes = counting
    shown = [tube for tube in tubes if _counts(tube[0]) or _was_other(tube, counting)]
    fixed: set[int | None] = {t[0].entry_id for t in shown if not _counts(t[0])}
    return MonthOf(
        quantity=quantity,
        unit=unit,
        decimals=shaper.decimals,
        zone=zone,
        tank_name=snapshot.tank.name,
        start=ends[0],
        end=ends[1],
        rows=tuple(row for tube in counting if (row := shaper.row(tube)) is not None),
        points=tuple(shaper.point(tube) for tube in counting),
        lines=tuple(shaper.line(tube, fixed) for tube in shown),
        thinned_from=thinned_from,
    )


def _tubes(found: Iterable[Measured]) -> list[list[Measured]]:
    """Readings of one tube together, in order of time."""
    tubes: dict[tuple[datetime, int], list[Measured]] = {}
    for each in found:
        tubes.setdefault((each.at, each.entry_id), []).append(each)
    return list(tubes.values())


def _counts(one: Measured) -> bool:
    return one.in_force and one.status == EntryStatus.OK.value


def _was_other(tube: Sequence[Measured], counting: Sequence[Sequence[Measured]]) -> bool:
    """Whether a fixed entry held another number than what counts at that time now."""
    old = (tube[0].at, [(m.value, m.low, m.high) for m in tube])
    return old not in [(t[0].at, [(m.value, m.low, m.high) for m in t]) for t in counting]


def _first_of_days(tubes: Sequence[list[Measured]], zone: str) -> list[list[Measured]]:
    by_day: dict[date, list[Measured]] = {}
    for tube in tubes:
        by_day.setdefault(local_day(tube[0].at, zone), tube)
    return list(by_day.values())


@dataclass(frozen=True, slots=True)
class _Shaper:
    """Turns what was read at one time into rows, points and words."""

    unit: Unit
    decimals: int
    zone: str

    def tube(self, rows: Sequence[Measured]) -> Tube:
        kept = Tube(tuple(Seen(r.value, r.low, r.high) for r in rows))
        return kept.through(lambda value: round(self.unit.from_kept(value), self.decimals))

    def row(self, rows: Sequence[Measured]) -> Row | None:
        tube = self.tube(rows)
        if tube.value is None:
            return None
        numbers = sorted(each.value for each in tube.seen if each.value is not None)
        several = len(rows) > 1 and len(numbers) == len(rows)
        color = tube.is_color
        return Row(
            at=rows[0].at,
            day=local_day(rows[0].at, self.zone),
            value=round(tube.value, self.decimals),
            low=tube.low if color else None,
            high=tube.high if color else None,
            seen=tuple(numbers) if several else (),
        )

    def point(self, rows: Sequence[Measured]) -> Point:
        tube = self.tube(rows)
        low, high = (tube.low, tube.high) if tube.is_color else (None, None)
        open_top = tube.is_color and high is None
        return Point(rows[0].at, tube.value, low, high, open_top, rows[0].kit_id)

    def line(self, rows: Sequence[Measured], fixed: Container[int | None]) -> Line:
        tube, first = self.tube(rows), rows[0]
        notes = []
        if len(rows) > 1:
            notes.append(readers_text(tube))
        if not _counts(first):
            notes.append(FIXED)
        elif first.replaces_id in fixed:
            notes.append("the fixed number")
        if tube.value is None:
            notes.append(_NO_NUMBER)
        late = first.recorded_at - first.happened_at > ADDED_LATER
        if late and first.kind != EntryKind.LOGGER.value:
            notes.append(f"added {day_words(local_day(first.recorded_at, self.zone))}")
        return Line(
            at=first.at,
            read=self._read(tube),
            could_be=_could_be(tube) if tube.is_color else "",
            note=", ".join(notes),
            counts=_counts(first) and tube.value is not None,
        )

    def _read(self, tube: Tube) -> str:
        if tube.value is None:
            return seen_text(tube.middle)
        return color_text(tube.value) if tube.is_color else rounded(tube.value, self.decimals)


def _could_be(tube: Tube) -> str:
    low = color_text(tube.low or 0.0)
    return f"{low} or more" if tube.high is None else f"{low} to {color_text(tube.high)}"
