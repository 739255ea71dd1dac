"""The same readings as a table, and the numbers of a chart in words."""

import math
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Final

from app.charts.clean import plain
from app.charts.days import clock_words, day_words
from app.charts.readings import Readings, is_card, possible, together
from app.domain.calendar import local_day
from app.domain.series import Point, Series

# Longer tables show a row for each day, still longer ones for each week, then month
MOST_ROWS: Final = 100

NOTHING: Final = "–"
OR_MORE: Final = " or more"

_NBSP: Final = "\u00a0"

Row = tuple[str, ...]


def number(series: Series, value: float) -> str:
    """A value with the series' decimals and a true minus sign."""
    return f"{value:.{series.decimals}f}".replace("-", "−")


def with_unit(series: Series, words: str) -> str:
    """Words with the unit behind a no-break space; "6 or more" becomes "6 mg/L or more"."""
    if not series.unit:
        return words
    first, more, rest = words.partition(OR_MORE)
    return f"{first}{_NBSP}{plain(series.unit)}{more}{rest}"


def could_be(series: Series, point: Point) -> str:
    """The possible values of a reading: "5 to 20", "110 or more"."""
    low, high = possible(point)
    if math.isinf(high):
        return f"{number(series, low)}{OR_MORE}"
    first, last = number(series, low), number(series, high)
    return first if first == last else f"{first} to {last}"


def day_of(series: Series, point: Point) -> str:
    """The local day of a reading, with the year if the chart crosses a new year."""
    return day_of_moment(series, point.at)


def day_of_moment(series: Series, moment: datetime) -> str:
    """The local day of any moment, as `day_of`."""
    return _first_day(series, local_day(moment, series.zone))


def _first_day(series: Series, day: date) -> str:
    first, last = (local_day(m, series.zone) for m in (series.start, series.until))
    return day_words(day, year=first.year != last.year)


def table(series: Series, meters: Readings, cards: Readings) -> tuple[Row, tuple[Row, ...]]:
    """Heads and rows: one row a reading; above `MOST_ROWS` one a local day, week or month."""
    points = together(meters, cards)
    new_kit = {id(sort.points[i]) for sort in (meters, cards) for i in sort.kit_changes()}
    if len(points) > MOST_ROWS:
        return _grouped(series, points, new_kit)
    with_cards = len(cards) > 0
    heads = ("Day", "Time", "Read", *(("Could be",) if with_cards else ()), "Note")
    return heads, tuple(
        _row(series, p, with_cards=with_cards, note=_note(new_kit, p)) for p in points
    )


def table_ahead(series: Series) -> tuple[Row, tuple[Row, ...]]:
    """Heads and rows of what is expected, one row a moment; empty where nothing is."""
    if not series.ahead:
        return (), ()
    heads = ("Day", "Low", "Best guess", "High", "Note")
    return heads, tuple(
        (
            day_of_moment(series, each.at),
            *(number(series, end) for end in (each.low, each.best, each.high)),
            plain(each.note) or NOTHING,
        )
        for each in series.ahead
    )


def _row(series: Series, point: Point, *, with_cards: bool, note: str) -> Row:
    read = "between steps" if point.value is None else number(series, point.value)
    could = could_be(series, point) if is_card(point) else NOTHING
    return (
        day_of(series, point), clock_words(point.at, series.zone), read,
        *((could,) if with_cards else ()), note,
    )  # fmt: skip


def _grouped(
    series: Series, points: tuple[Point, ...], new_kit: set[int]
) -> tuple[Row, tuple[Row, ...]]:
    """A mean stands only where every reading of the group is one number."""
    days = [local_day(p.at, series.zone) for p in points]
    head, first_days = next(
        (head, firsts)
        for head, key in _GROUPS.items()
        if len(set((firsts := {day: key(day) for day in set(days)}).values())) <= MOST_ROWS
    )
    rows = []
    for first, group in groupby(
        zip(days, points, strict=True), key=lambda pair: first_days[pair[0]]
    ):
        members = [point for _, point in group]
        ranges = [possible(p) for p in members]
        high = max(high for _, high in ranges)
        exact = not any(is_card(p) for p in members)
        rows.append((
            _first_day(series, first),
            str(len(members)),
            number(series, min(low for low, _ in ranges)),
            number(series, sum(low for low, _ in ranges) / len(members)) if exact else NOTHING,
            "open" if math.isinf(high) else number(series, high),
            _note(new_kit, *members),
        ))  # fmt: skip
    return (head, "Readings", "Lowest", "Mean", "Highest", "Note"), tuple(rows)


def _day(day: date) -> date:
    return day


def _week(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _month(day: date) -> date:
    return day.replace(day=1)


def _year(day: date) -> date:
    return day.replace(month=1, day=1)


# the first day of the group that a day belongs to; the last one takes whatever is left
_GROUPS: Final = {"Day": _day, "Week of": _week, "Month of": _month, "Year of": _year}


def _note(new_kit: set[int], *points: Point) -> str:
    notes = [] if new_kit.isdisjoint(map(id, points)) else ["new kit"]
    if len(points) == 1 and points[0].note:
        notes.append(plain(points[0].note))
    return ", ".join(notes) or NOTHING
