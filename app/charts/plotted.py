"""The readings of one quantity on their sheet: bars of what a card could mean, a meter's line."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from app.charts.frame import Frame
from app.charts.readings import Readings
from app.charts.reduce import FloatArray, alone, keep, run_numbers, with_breaks
from app.charts.style import Sheet
from app.domain.series import Series

# Above this many readings the line alone is clearer than a line with a mark on each
_MOST_MARKS: Final = 120
_A_DAY: Final = 86400.0
# Nearer than this, bars are drawn thin
_BAR_ROOM: Final = 13.0


@dataclass(frozen=True, slots=True)
class Pen:
    """How the readings of one tank are drawn, so that two are told apart in gray.

    `beside` moves its bars aside, so that they do not cover those of another pen.
    """

    line: str = "series-1"
    dash: tuple[float, ...] = ()
    mark: str = "o"
    bars: str = ""
    step: str = "D"
    beside: float = 0.0


FIRST: Final = Pen()
SECOND: Final = Pen("series-2", (6.0, 3.0), "s", " second", "v", 7.0)


def cards(sheet: Sheet, frame: Frame, found: Readings, pen: Pen = FIRST) -> FloatArray:
    """Bars of possible values with their ends and the step read; returns what is covered."""
    if not len(found):
        return np.zeros((0, 2))
    x_all = frame.across(found.seconds) + pen.beside
    kept = keep(x_all, found.low, found.high, bucket=2.0)
    x, top, bottom = x_all[kept], frame.down(found.high[kept]), frame.down(found.low[kept])
    crowded = x.size > 1 and float(np.median(np.diff(x))) < _BAR_ROOM
    lifted = np.full(x.size, np.nan)
    half = 3.0 if crowded else 6.0

    def path(*columns_: FloatArray) -> FloatArray:
        return np.column_stack((*columns_, lifted)).ravel()

    bars = ("bars bars-thin" if crowded else "bars") + pen.bars
    ends = f"bar-ends{pen.bars}"
    sheet.line(path(x, x), path(bottom, top), bars, width=11.0)
    is_open = np.isinf(found.high[kept])
    if not crowded:
        closed = (~is_open).repeat(3)
        across, above, below = path(x - half, x + half), path(top, top), path(bottom, bottom)
        sheet.line(across, below, ends, width=2.0)
        sheet.line(across[closed], above[closed], ends, width=2.0)
    arrow = np.column_stack((x - half, x, x + half, lifted))[is_open].ravel()
    rise = np.column_stack((top + half, top, top + half, lifted))[is_open].ravel()
    sheet.line(arrow, rise, f"{ends} open-top", width=2.0)
    read_as = [found.points[i].value for i in kept]
    steps = np.array([np.nan if value is None else value for value in read_as])
    read = ~np.isnan(steps)
    size = 4.0 if crowded else 7.0
    sheet.marks(x[read], frame.down(steps[read]), f"steps{pen.bars}", pen.step, size)
    parts = np.linspace(0.0, 1.0, 12)
    covered = (bottom[:, None] + (top - bottom)[:, None] * parts).ravel()
    return np.column_stack((np.repeat(x, parts.size), covered))


def meters(
    sheet: Sheet, frame: Frame, series: Series, found: Readings, pen: Pen = FIRST
) -> FloatArray:
    """A line broken where nobody measured; returns what is covered."""
    if not len(found):
        return np.zeros((0, 2))
    away = [
        ((s.start - series.start).total_seconds(), (s.end - series.start).total_seconds())
        for s in series.spans
        if s.kind == "away"
    ]
    x_all, y_all = frame.across(found.seconds), frame.down(found.low)
    # of a day there may be its lowest and highest reading only, however near to each other
    least, bucket = (_A_DAY, 2.0) if found.is_daily else (0.0, 1.0)
    kept = keep(x_all, found.low, found.high, bucket)
    runs = run_numbers(found.seconds, found.kits, away, least)[kept]
    x, y = x_all[kept], y_all[kept]
    sheet.line(*with_breaks(x, y, runs), pen.line, width=2.5, dash=pen.dash)
    if x.size <= _MOST_MARKS:
        sheet.marks(x, y, pen.line, pen.mark, 7.0)
    else:
        # the last reading, and those that no line shows
        single = alone(runs)
        single_x, single_y = np.append(x[single], x_all[-1]), np.append(y[single], y_all[-1])
        sheet.marks(single_x, single_y, pen.line, pen.mark, 5.0)
    between = np.arange(x[0], x[-1] + 5.0, 5.0)
    covered = np.column_stack((between, np.interp(between, x, y)))
    return np.concatenate((np.column_stack((x, y)), covered))
