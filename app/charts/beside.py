"""Two stretches of one quantity on one sheet: of two tanks, or of one at two times.

The second is laid over the first: by date, by the age of the tanks, or start upon start. Line
pattern, mark and label tell them apart; each stops where nobody measured.
"""

import logging
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

import numpy as np

from app.charts import clean, days, foot, plotted, style
from app.charts.days import Tick
from app.charts.frame import TOP, Frame, frame_for
from app.charts.labels import Place, Placer
from app.charts.readings import CannotDrawError, Readings, check, columns, joined
from app.charts.reduce import FloatArray
from app.charts.style import WIDTH, Sheet
from app.charts.table import number, table, with_unit
from app.charts.trend import NOT_AVAILABLE
from app.domain.quantities import FACTS
from app.domain.series import Laid, Series

LEAST: Final = 3
_MOST_TICKS: Final = 8
_LONGEST_NAME: Final = 24
_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """Two stretches of one length and unit.

    `first_day` is what the first day is called where days are counted: the age of the tanks
    in days, or 0.
    """

    first: Series
    second: Series
    first_name: str
    second_name: str
    laid: Laid
    first_day: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class BesideWords:
    """The same in words: a title, the finding, more of it, and a table of each stretch."""

    title: str
    finding: str
    detail: str
    keys: tuple[tuple[str, str], ...]
    tables: tuple[tuple[str, tuple[str, ...], tuple[tuple[str, ...], ...]], ...]


def describe(both: Beside) -> BesideWords:
    """Say in words what `draw` shows."""
    label = FACTS[both.first.quantity].label
    names = _names(both)
    title = f"{label}: {names[0]} and {names[1]}"
    try:
        found = [_found(series) for series in (both.first, both.second)]
    except CannotDrawError:
        return BesideWords(title=title, finding=NOT_AVAILABLE, detail="", keys=(), tables=())
    finding, detail = _finding(both, names, found)
    keys = [
        (key if len(meters) or not len(cards) else bars, name)
        for name, (meters, cards), key, bars in zip(
            names, found, ("series-1", "series-2"), ("bars", "bars second"), strict=True
        )
    ]
    return BesideWords(
        title=title,
        finding=finding,
        detail=detail,
        keys=tuple(keys),
        tables=tuple(
            (name, *table(series, *each))
            for name, series, each in zip(names, (both.first, both.second), found, strict=True)
        ),
    )


def draw(both: Beside, chart_id: str, words: BesideWords) -> str:
    """Draw both as SVG that may stand in a page.

    Args:
        both: What to show.
        chart_id: Lower-case letters, digits and "-", unlike any other id in the page.
        words: What `describe` says of the same.

    Returns:
        The SVG element; equal arguments give equal text. What cannot be drawn gives a plain
        picture that says so.

    Raises:
        ValueError: If `chart_id` is not fit for an id.
    """
    with style.DRAWING:
        try:
            check(both.first)
            check(both.second)
            sheet = _sheet(both)
        except CannotDrawError:
            logging.getLogger(__name__).warning("A chart could not be drawn.", exc_info=True)
            sheet = Sheet(120.0)
            sheet.text(WIDTH / 2, 66.0, NOT_AVAILABLE, "strong", anchor="center")
        return clean.svg(sheet, chart_id, words.title, f"{words.finding} {words.detail}")


def _names(both: Beside) -> tuple[str, str]:
    return clean.plain(both.first_name), clean.plain(both.second_name)


def _found(series: Series) -> tuple[Readings, Readings]:
    check(series)
    return columns(series)


# The words


def middle_half(meters: Readings, cards: Readings) -> tuple[float, float]:
    """Between what the middle half of the readings lies, whatever the cards really meant.

    The first quartile of the least possible values and the third of the greatest.
    """
    low = np.concatenate((meters.low, cards.low))
    high = np.concatenate((meters.high, cards.high))
    with np.errstate(invalid="ignore"):  # between two open ends lies an open end
        top = float(np.quantile(high, 0.75))
    return float(np.quantile(low, 0.25)), np.inf if np.isnan(top) else top


def _finding(
    both: Beside, names: tuple[str, str], found: list[tuple[Readings, Readings]]
) -> tuple[str, str]:
    counts = [len(meters) + len(cards) for meters, cards in found]
    for name, count in zip(names, counts, strict=True):
        if not count:
            return f"Nobody measured this in {name}.", ""
    halves = [middle_half(*each) for each in found]
    detail = " ".join(
        f"{name}: {count} readings; the middle half lies {_range(both.first, *half)}."
        for name, count, half in zip(names, counts, halves, strict=True)
    )
    if min(counts) < LEAST:
        return f"Can’t tell yet: that needs {LEAST} readings of each.", detail
    (low, high), (other_low, other_high) = halves
    if low > other_high:
        return f"{names[0]} lay higher than {names[1]}: the middle halves do not touch.", detail
    if high < other_low:
        return f"{names[0]} lay lower than {names[1]}: the middle halves do not touch.", detail
    return "Can’t tell them apart: the middle halves of the readings overlap.", detail


def _range(series: Series, low: float, high: float) -> str:
    if np.isinf(high):
        return f"at {with_unit(series, number(series, low) + ' or more')}"
    return f"between {number(series, low)} and {with_unit(series, number(series, high))}"


# The picture


def _sheet(both: Beside) -> Sheet:
    first, second = both.first, _laid_over(both)
    one, other = columns(first), columns(second)
    frame = frame_for(first, _together(first, second), 0)
    sheet = Sheet(frame.height)
    placer = Placer((frame.left, -6.0, WIDTH - 4.0, frame.bottom))
    _grid(sheet, frame, first)
    foot.draw(sheet, frame, _ticks(both))
    lanes = []
    for series, (meters, cards), pen in (
        (first, one, plotted.FIRST),
        (second, other, plotted.SECOND),
    ):
        lanes.append(plotted.cards(sheet, frame, cards, pen))
        lanes.append(plotted.meters(sheet, frame, series, meters, pen))
    placer.draw(*lanes)
    for name, at in zip(_names(both), (0, 2), strict=True):
        _name(sheet, placer, name, np.concatenate(lanes[at : at + 2]))
    return sheet


def _laid_over(both: Beside) -> Series:
    """The second stretch with its times moved onto those of the first."""
    by = both.first.start - both.second.start
    if not by:
        return both.second
    second = both.second
    return replace(
        second,
        start=second.start + by,
        end=second.end + by,
        points=tuple(replace(p, at=p.at + by) for p in second.points),
        logged=second.logged
        and replace(second.logged, seconds=second.logged.seconds + by.total_seconds()),
        spans=tuple(replace(s, start=s.start + by, end=s.end + by) for s in second.spans),
    )


def _together(first: Series, second: Series) -> tuple[Readings, Readings]:
    """All readings of both, for the scale of values."""
    (meters, cards), (other_meters, other_cards) = columns(first), columns(second)
    return joined(meters, other_meters), joined(cards, other_cards)


def _grid(sheet: Sheet, frame: Frame, series: Series) -> None:
    for tick in frame.scale.ticks:
        y = frame.level(tick)
        sheet.line([frame.left, frame.right], [y, y], "grid")
        sheet.text(frame.left - 8.0, y + 5.0, frame.scale.words(tick), anchor="right")
    sheet.line([frame.left, frame.right], [frame.base, frame.base], "limit", width=2.0)
    if series.unit:
        sheet.text(frame.left - 8.0, 12.0, clean.plain(series.unit, 8), "wide-only", anchor="right")


def _ticks(both: Beside) -> tuple[Tick, ...]:
    series = both.first
    if both.laid is Laid.DATE:
        return days.ticks(series.start, series.end, series.zone)
    length = max(1, (series.end - series.start) // _DAY)
    step = next(s for s in (1, 2, 5, 10, 20, 50, 100, 500, 5000) if length / s <= _MOST_TICKS)
    return tuple(
        Tick(series.start + day * _DAY, f"day {both.first_day + day}")
        for day in range(0, length + 1, step)
    )


def _name(sheet: Sheet, placer: Placer, name: str, covered: FloatArray) -> None:
    """The name beside its own readings, wherever there is room; the key repeats it."""
    words = clean.plain(name, _LONGEST_NAME)
    order = covered[np.argsort(covered[:, 0])]
    spots = (
        order[[int(part * (len(order) - 1)) for part in (1.0, 0.75, 0.5, 0.25, 0.0)]]
        if len(order)
        else order
    )
    places = [
        Place(float(x), float(y) + shift, anchor)
        for x, y in spots
        for shift in (-14.0, 26.0, -34.0, 46.0)
        for anchor in ("right", "left")
        if y + shift >= TOP
    ]
    place = placer.put(words, places, narrow=False)
    if place:
        sheet.text(place.x, place.y, words, "strong wide-only", anchor=place.anchor)
