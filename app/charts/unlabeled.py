"""A chart without title, numbers and days, for pupils who write them beside it themselves.

It is drawn as the chart of the same readings is; only the words are left out. Marks along both
edges stand where numbers and days belong: one mark a local day, a longer one each Monday.
"""

import logging
from collections.abc import Iterator
from datetime import timedelta
from typing import Final

import numpy as np

from app.charts import clean, plotted, style
from app.charts.frame import TOP, Frame, frame_for
from app.charts.readings import CannotDrawError, check, columns
from app.charts.style import Sheet
from app.domain.calendar import day_start, local_day
from app.domain.series import Series

TITLE: Final = "A chart without words"
_EMPTY: Final = "Two axes with marks and nothing between them. The table has the readings."
_MARK: Final = 7.0
_MONDAY: Final = 15.0


def draw(series: Series, chart_id: str, *, empty: bool = False) -> str:
    """Draw a series without any words as SVG that may stand in a page.

    Args:
        series: What to show; bands, marks, spans and what is ahead are left out.
        chart_id: Lower-case letters, digits and "-", unlike any other id in the page.
        empty: Leave the readings out, too: only the axes are left to draw upon.

    Returns:
        The SVG element, equal for equal arguments; "" for what cannot be drawn.

    Raises:
        ValueError: If `chart_id` is not fit for an id.
    """
    said = _EMPTY if empty else _description(series.count)
    with style.DRAWING:
        try:
            check(series)
            return clean.svg(_sheet(series, empty=empty), chart_id, TITLE, said)
        except CannotDrawError:
            logging.getLogger(__name__).warning("A chart could not be drawn.", exc_info=True)
            return ""


def _description(count: int) -> str:
    return f"{count} readings from left to right. The table below has the same readings."


def _sheet(series: Series, *, empty: bool) -> Sheet:
    meters, cards = columns(series)
    frame = frame_for(series, (meters, cards), 0)
    sheet = Sheet(frame.height)
    levels = [frame.level(tick) for tick in frame.scale.ticks]
    _lines(sheet, [((frame.left, y), (frame.right, y)) for y in levels], "grid", 1.0)
    _lines(sheet, [((frame.left - _MARK, y), (frame.left, y)) for y in levels], "axis", 1.5)
    days = [
        ((x, frame.base), (x, frame.base + (_MONDAY if monday else _MARK)))
        for x, monday in _days(series, frame)
    ]
    _lines(sheet, days, "axis", 1.5)
    left, right, foot = frame.left, frame.right, frame.base
    _lines(sheet, [((left, TOP), (left, foot)), ((left, foot), (right, foot))], "limit", 2.0)
    if not empty:
        plotted.cards(sheet, frame, cards)
        plotted.meters(sheet, frame, series, meters)
    return sheet


def _days(series: Series, frame: Frame) -> Iterator[tuple[float, bool]]:
    """Where each local day begins, and whether it is a Monday."""
    day = local_day(series.start, series.zone)
    while (begins := day_start(day, series.zone)) <= series.end:
        if begins >= series.start:
            yield frame.at(begins), day.weekday() == 0
        day += timedelta(days=1)


def _lines(
    sheet: Sheet,
    ends: list[tuple[tuple[float, float], tuple[float, float]]],
    classes: str,
    width: float,
) -> None:
    x = [v for (x0, _), (x1, _) in ends for v in (x0, x1, np.nan)]
    y = [v for (_, y0), (_, y1) in ends for v in (y0, y1, np.nan)]
    sheet.line(x, y, classes, width=width)
