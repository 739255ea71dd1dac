"""The same readings as a table, and the numbers of a chart in words."""

import math
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Final

import numpy as np

from app.charts.clean import plain
from app.charts.days import clock_words, day_words
from app.charts.readings import Readings, is_card, joined, possible, together
from app.domain.calendar import day_start, local_day
from app.domain.series import IntArray, Point, Series

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


def day_of(series: Series, moment: datetime) -> str:
    """The local day of a moment, with the year if the chart crosses a new year."""
    return _first_day(series, local_day(moment, series.zone))


def day_numbers(series: Series, readings: Readings) -> IntArray:
    """The local day of each row, counted from the first day of the chart."""
    first, last = (local_day(m, series.zone) for m in (series.start, series.end))
    begins = [
        (day_start(first + timedelta(days=n), series.zone) - series.start).total_seconds()
        for n in range(1, (last - first).days + 1)
    ]
    return np.searchsorted(np.array(begins), readings.seconds, side="right").astype(np.int64)


def _first_day(series: Series, day: date) -> str:
    first, last = (local_day(m, series.zone) for m in (series.start, series.until))
    return day_words(day, year=first.year != last.year)


def table(series: Series, meters: Readings, cards: Readings) -> tuple[Row, tuple[Row, ...]]:
    """Heads and rows: one row a reading; above `MOST_ROWS` one a local day, week or month."""
    if meters.count + cards.count > MOST_ROWS:
        return _grouped(series, meters, cards)
    points = together(meters, cards)
    new_kit = {id(sort.points[i]) for sort in (meters, cards) for i in sort.kit_changes()}
    with_cards = len(cards) > 0
    heads = ("Day", "Time", "Read", *(("Could be",) if with_cards else ()), "Note")
    return heads, tuple(
        _row(series, p, with_cards=with_cards, note=_note(p.note, new_kit=id(p) in new_kit))
        for p in points
    )


def table_ahead(series: Series) -> tuple[Row, tuple[Row, ...]]:
    """Heads and rows of what is expected, one row a moment; empty where nothing is."""
    if not series.ahead:
        return (), ()
    heads = ("Day", "Low", "Best guess", "High", "Note")
    return heads, tuple(
        (
            day_of(series, each.at),
            *(number(series, end) for end in (each.low, each.best, each.high)),
            plain(each.note) or NOTHING,
        )
        for each in series.ahead
    )


def _row(series: Series, point: Point, *, with_cards: bool, note: str) -> Row:
    read = "between steps" if point.value is None else number(series, point.value)
    could = could_be(series, point) if is_card(point) else NOTHING
    return (
        day_of(series, point.at), clock_words(point.at, series.zone), read,
        *((could,) if with_cards else ()), note,
    )  # fmt: skip


def _grouped(series: Series, meters: Readings, cards: Readings) -> tuple[Row, tuple[Row, ...]]:
    """A mean stands only where every reading of the group is one number."""
    both = joined(meters, cards)
    days = day_numbers(series, both)
    first = local_day(series.start, series.zone)
    present = {int(n): first + timedelta(days=int(n)) for n in np.unique(days)}
    head, first_days = next(
        (head, firsts)
        for head, (longest, key) in _GROUPS.items()
        if len(present) <= MOST_ROWS * longest
        and len(set((firsts := {n: key(day) for n, day in present.items()}).values())) <= MOST_ROWS
    )
    is_card = np.arange(len(both)) >= len(meters)
    new_kit = np.zeros(len(both), dtype=np.bool_)
    new_kit[meters.kit_changes()] = True
    new_kit[cards.kit_changes() + len(meters)] = True
    rows = []
    for begins, numbers in groupby(present, key=first_days.__getitem__):
        of_group = list(numbers)
        members = np.flatnonzero((days >= of_group[0]) & (days <= of_group[-1]))
        count, high = int(both.counts[members].sum()), float(both.high[members].max())
        exact = not is_card[members].any()
        place = int(members[0]) - (len(both) - len(both.points))
        note = both.points[place].note if members.size == 1 and place >= 0 else ""
        rows.append((
            _first_day(series, begins),
            str(count),
            number(series, float(both.low[members].min())),
            number(series, float(both.totals[members].sum()) / count) if exact else NOTHING,
            "open" if math.isinf(high) else number(series, high),
            _note(note, new_kit=bool(new_kit[members].any())),
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


# how many days a group holds at most, and the first day of the one that a day belongs to; the last
# one takes whatever is left
_GROUPS: Final = {
    "Day": (1, _day),
    "Week of": (7, _week),
    "Month of": (31, _month),
    "Year of": (366, _year),
}


def _note(note: str, *, new_kit: bool) -> str:
    notes = ["new kit"] if new_kit else []
    if note:
        notes.append(plain(note))
    return ", ".join(notes) or NOTHING
