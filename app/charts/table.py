"""The same readings as a table, and the numbers of a chart in words."""

import math
from itertools import groupby
from typing import Final

from app.charts.clean import plain
from app.charts.days import clock_words, day_words
from app.charts.readings import Readings, inside, is_card, possible
from app.domain.calendar import local_day
from app.domain.series import Point, Series

# Longer tables show a row for each day
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
    first, last = (local_day(m, series.zone) for m in (series.start, series.end))
    return day_words(local_day(point.at, series.zone), year=first.year != last.year)


def table(series: Series, meters: Readings, cards: Readings) -> tuple[Row, tuple[Row, ...]]:
    """Heads and rows: one row a reading, or one a local day above `MOST_ROWS` readings."""
    points = inside(series)
    new_kit = {id(sort.points[i]) for sort in (meters, cards) for i in sort.kit_changes()}
    if len(points) > MOST_ROWS:
        return _daily(series, points, new_kit)
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


def _daily(
    series: Series, points: tuple[Point, ...], new_kit: set[int]
) -> tuple[Row, tuple[Row, ...]]:
    """A mean stands only where every reading of the day is one number."""
    rows = []
    for _, group in groupby(points, key=lambda p: local_day(p.at, series.zone)):
        day = list(group)
        ranges = [possible(p) for p in day]
        high = max(high for _, high in ranges)
        exact = not any(is_card(p) for p in day)
        rows.append((
            day_of(series, day[0]),
            str(len(day)),
            number(series, min(low for low, _ in ranges)),
            number(series, sum(low for low, _ in ranges) / len(day)) if exact else NOTHING,
            "open" if math.isinf(high) else number(series, high),
            _note(new_kit, *day),
        ))  # fmt: skip
    return ("Day", "Readings", "Lowest", "Mean", "Highest", "Note"), tuple(rows)


def _note(new_kit: set[int], *points: Point) -> str:
    return "new kit" if any(id(p) in new_kit for p in points) else NOTHING
