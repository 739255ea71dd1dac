"""What a chart says, in words: the finding, the alternative text, and the same as a table."""

import math
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np
from numpy.typing import NDArray

from app.charts.clean import plain
from app.charts.days import clock_words, span_words
from app.charts.readings import (
    CannotDrawError,
    Readings,
    card_is_last,
    check,
    columns,
    edges,
)
from app.charts.table import (
    OR_MORE,
    could_be,
    day_numbers,
    day_of,
    number,
    table,
    table_ahead,
    with_unit,
)
from app.domain.quantities import FACTS
from app.domain.series import Series
from app.estimates.model import NOT_MEASURED
from app.science.series import Direction, direction

_DIRECTIONS: Final = {
    Direction.UP: "It is going up: no single value fits all {n} card readings.",
    Direction.DOWN: "It is going down: no single value fits all {n} card readings.",
    Direction.STEADY: "It stays the same: all {n} card readings say so.",
    Direction.CANT_TELL: "Can’t tell yet whether it rises.",
}
_BOTH_WAYS: Final = "It went up and down: no single value fits all {n} card readings."
_EVENTS: Final = {
    "change": ("water change", "water changes"),
    "filter": ("filter rinse", "filter rinses"),
    "fish": ("arrival of fish", "arrivals of fish"),
}


@dataclass(frozen=True, slots=True)
class ChartWords:
    """Everything about a chart that can be read aloud.

    Attributes:
        title: Names quantity, tank and days; the title of the picture.
        finding: The sentence to say first.
        detail: What else the picture shows; with the finding it is the alternative text.
        columns: Heads of the table.
        rows: The table; as many cells as `columns` in each.
        ahead_columns: Heads of the table of what is expected, empty where nothing is.
        ahead_rows: That table.
        keys: Classes that the picture shows, with what each means, for a key below it.
    """

    title: str
    finding: str
    detail: str
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    keys: tuple[tuple[str, str], ...] = ()
    ahead_columns: tuple[str, ...] = ()
    ahead_rows: tuple[tuple[str, ...], ...] = ()


def describe(series: Series) -> ChartWords:
    """Say in words what `trend.draw` shows of the same series. Never raises for its contents."""
    label = FACTS[series.quantity].label
    try:
        check(series)
        days = span_words(series.start, series.end, series.zone)
        meters, cards = columns(series)
        title = f"{label} in {plain(series.tank_name)}, {days}"
        if not len(meters) and not len(cards):
            empty = (
                f"Nobody measured this from {days}."
                if " to " in days
                else (f"Nobody measured this on {days}.")
            )
            return ChartWords(title, empty, _events(series), keys=_keys(series, meters, cards))
        heads, rows = table(series, meters, cards)
        finding, detail = _sentences(series, meters, cards)
        keys = _keys(series, meters, cards)
        return ChartWords(title, finding, detail, heads, rows, keys, *table_ahead(series))
    except (CannotDrawError, ArithmeticError, LookupError):
        return ChartWords(
            f"{label} in {plain(series.tank_name)}",
            "This chart is not available.",
            "A reading holds a time or a number that no chart can show. See the story.",
        )


def _count(number: int, one: str, many: str) -> str:
    return f"{number:,} {one if number == 1 else many}"


def _join(sentences: list[str]) -> str:
    return " ".join(s for s in sentences if s)


# The sentences


def _sentences(series: Series, meters: Readings, cards: Readings) -> tuple[str, str]:
    """The finding speaks of the sort of reading that was taken last; the detail of all."""
    if card_is_last(meters, cards):
        finding, detail = _card_words(series, cards)
        other = _count(meters.count, "meter reading", "meter readings") if len(meters) else ""
    else:
        finding, detail = _meter_words(series, meters)
        other = _count(len(cards), "card reading", "card readings") if len(cards) else ""
    more = f"The chart also shows {other}." if other else ""
    parts = [detail, more, _kits(series, meters, cards), _events(series), _ahead(series)]
    return finding, _join(parts)


def _meter_words(series: Series, meters: Readings) -> tuple[str, str]:
    values, n = meters.low, meters.count
    last = with_unit(series, number(series, float(values[-1])))
    low, high = number(series, float(values.min())), number(series, float(values.max()))
    span = (
        f"between {low} and {with_unit(series, high)}"
        if low != high
        else (f"at {with_unit(series, low)}")
    )
    band = _band_words(series)
    detail = f"{_count(n, 'meter reading', 'meter readings')}, {span}."
    if n > 1 and low != high:
        detail = _join([detail, _extremes(series, meters)])
    if not band:
        more = f"; all {n:,} lie {span}" if n > 1 else ""
        return f"The last reading was {last}{more}.", detail
    outside = _outside(series, meters)
    if n == 1:
        place = "outside" if outside.any() else "inside"
        return f"The last reading was {last}, {place} {band[0]}.", _join([detail, band[1]])
    return f"The last reading was {last}; {_how_often(series, meters, outside, band[0])}.", _join(
        [detail, band[1]]
    )


def _how_often(series: Series, meters: Readings, outside: NDArray[np.bool_], name: str) -> str:
    """How many readings were outside a range, or on how many days where only those are known."""
    if not outside.any():
        return f"all {meters.count:,} were inside {name}"
    if not meters.is_daily:
        number, of = int(np.count_nonzero(outside)), f"{meters.count:,}"
        return f"{number:,} of {of} {'was' if number == 1 else 'were'} outside {name}"
    days = day_numbers(series, meters)
    some, every = np.unique(days[outside]).size, np.unique(days).size
    return f"it went outside {name} on {some:,} of {every:,} days"


def _extremes(series: Series, meters: Readings) -> str:
    lowest = meters.at(int(meters.low.argmin()))
    highest = meters.at(int(meters.low.argmax()))
    return f"Lowest on {_when(series, lowest)}, highest on {_when(series, highest)}."


def _when(series: Series, moment: datetime) -> str:
    return f"{day_of(series, moment)} at {clock_words(moment, series.zone)}"


def _card_words(series: Series, cards: Readings) -> tuple[str, str]:
    """The direction is judged within the kit in use: two kits may differ for one water."""
    n, band = len(cards), _band_words(series)
    low = number(series, float(cards.low.min()))
    highest = float(cards.high.max())
    top = OR_MORE.strip() if math.isinf(highest) else f"to {number(series, highest)}"
    detail = f"{_count(n, 'card reading', 'card readings')}; together they allow {low} {top}"
    detail = f"{with_unit(series, detail)}."
    if band:
        outside = int(np.count_nonzero(_outside(series, cards)))
        touching = int(np.count_nonzero(_touches_outside(series, cards)))
        certain = f"{outside:,} of {n:,} for certain, {touching:,} of {n:,} possibly"
        detail = _join([detail, f"Outside {band[0]}: {certain}.", band[1]])
    first = int(cards.kit_changes()[-1]) if cards.kit_changes().size else 0
    lows, highs = cards.low[first:], cards.high[first:]
    if lows.size == 1:
        point = cards.points[-1]
        could = with_unit(series, could_be(series, point))
        which = "The only card reading" if n == 1 else "One card reading with the new kit: it"
        return f"{which} could be {could}.", detail
    floor, ceiling = float(lows.max()), float(highs.min())
    way = direction(lows, highs)
    both = way is Direction.CANT_TELL and floor > ceiling
    said = (_BOTH_WAYS if both else _DIRECTIONS[way]).format(n=f"{lows.size:,}")
    if floor <= ceiling:
        one = (
            number(series, floor)
            if floor == ceiling or math.isinf(ceiling)
            else (f"anywhere from {number(series, floor)} to {number(series, ceiling)}")
        )
        fits = f"One unchanged value, {with_unit(series, one)}, would fit all {lows.size}."
        detail = _join([fits, detail])
    return said, detail


def _band_words(series: Series) -> tuple[str, str] | None:
    """How the first band is called, and a sentence with its edges and source."""
    if not series.bands:
        return None
    band = series.bands[0]
    low, high = edges(band)
    if low is None and high is None:
        return None
    name = plain(band.label) or "our range"
    if low is None and high is not None:
        reach = f"up to {number(series, high)}"
    elif high is None and low is not None:
        reach = f"{number(series, low)}{OR_MORE}"
    else:
        reach = f"{number(series, low or 0.0)} to {number(series, high or 0.0)}"
    source = f" ({plain(band.source)})" if plain(band.source) else ""
    return name, f"{name[:1].upper()}{name[1:]} is {with_unit(series, reach)}{source}."


def _limits(series: Series) -> tuple[float, float]:
    low, high = edges(series.bands[0])
    return (-math.inf if low is None else low), (math.inf if high is None else high)


def _outside(series: Series, readings: Readings) -> NDArray[np.bool_]:
    """Which readings lie outside the first band whatever value in their range is true."""
    low, high = _limits(series)
    return (readings.high < low) | (readings.low > high)


def _touches_outside(series: Series, readings: Readings) -> NDArray[np.bool_]:
    low, high = _limits(series)
    return (readings.low < low) | (readings.high > high)


def _ahead(series: Series) -> str:
    if not series.ahead:
        return ""
    last = series.ahead[-1]
    low, best, high = (number(series, end) for end in (last.low, last.best, last.high))
    return (
        f"On {day_of(series, last.at)} it may be {low} to {with_unit(series, high)}, "
        f"best guess {best}, if all goes on as planned: {NOT_MEASURED}."
    )


def _kits(series: Series, meters: Readings, cards: Readings) -> str:
    changes = [day_of(series, sort.at(i)) for sort in (cards, meters) for i in sort.kit_changes()]
    if not changes:
        return ""
    if len(changes) > 3:
        return f"The kit changed {len(changes)} times; readings are joined within one kit only."
    return f"New kit from {', '.join(changes)}; readings are joined within one kit only."


def _events(series: Series) -> str:
    counts = {
        kind: sum(m.kind == kind and series.start <= m.at <= series.end for m in series.marks)
        for kind in _EVENTS
    }
    words = [_count(n, *_EVENTS[kind]) for kind, n in counts.items() if n]
    return f"On the strip: {', '.join(words)}." if words else ""


def _keys(series: Series, meters: Readings, cards: Readings) -> tuple[tuple[str, str], ...]:
    marks = {m.kind for m in series.marks if series.start <= m.at <= series.end}
    spans = {s.kind for s in series.spans if s.end > series.start and s.start < series.end}
    band = _band_words(series)
    changed = len(meters.kit_changes()) or len(cards.kit_changes())
    shown: list[tuple[bool, str, str]] = [
        (len(cards) > 0, "bars", "card reading and what it could be"),
        (len(meters) > 0, "series-1", "meter reading"),
        (band is not None, "range", f"inside {band[0] if band else ''}"),
        (bool(changed), "kit", "new kit"),
        (bool(series.ahead), "fan forecast", f"what is expected: {NOT_MEASURED}"),
        ("away" in spans, "away", "nobody was meant to come"),
        ("lights" in spans, "lights", "light on"),
        ("change" in marks, "event change", "water change"),
        ("filter" in marks, "event-full filter", "filter rinsed"),
        ("fish" in marks, "event fish", "fish came"),
    ]
    return tuple((classes, words) for there, classes, words in shown if there)
