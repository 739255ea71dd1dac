"""The same readings as a table, and the numbers of a chart in words."""

import math
from datetime import date, timedelta
from itertools import groupby
from typing import Final

from app.charts.clean import plain
from app.charts.days import clock_words, day_words
from app.charts.readings import Readings, inside, is_card, possible
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
    return _first_day(series, local_day(point.at, series.zone))


def _first_day(series: Series, day: date) -> str:
    first, last = (local_day(m, series.zone) for m in (series.start, series.end))
    return day_words(day, year=first.year != last.year)


def table(series: Series, meters: Readings, cards: Readings) -> tuple[Row, tuple[Row, ...]]:
    """Heads and rows: one row a reading; above `MOST_ROWS` one a local day, week or month."""
    points = inside(series)
    new_kit = {id(sort.points[i]) for sort in (meters, cards) for i in sort.kit_changes()}
    if len(points) > MOST_ROWS:
        return _grouped(series, points, new_kit)
    with_cards = len(cards) > 0
    heads = ("Day", "Time", "Read", *(("Could be",) if with_cards else ()), "Note")
    return heads, tuple(
        _row(series, p, with_cards=with_cards, note=_note(new_kit, p)) for p in points
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
    head, key = next(
        (head, key) for head, key in _GROUPS.items() if len(set(map(key, days))) <= MOST_ROWS
    )
    rows = []
    for first, group in groupby(zip(days, points, strict=True), key=lambda pair: key(pair[0])):
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
    return "new kit" if any(id(p) in new_kit for p in points) else NOTHING
