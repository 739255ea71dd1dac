"""What is expected after the record: dashed in the middle, dotted at its ends, never solid."""

from typing import Final

import numpy as np

from app.charts.frame import Frame
from app.charts.labels import WIDE, Place, Placer
from app.charts.reduce import FloatArray
from app.charts.style import Sheet
from app.domain.series import Series
from app.estimates.model import NOT_MEASURED

_DASHED: Final = (5.0, 3.2)
_DOTTED: Final = (1.2, 2.6)


def draw(sheet: Sheet, frame: Frame, series: Series) -> FloatArray:
    """Draw what is ahead; returns what its lines cover, shape (n, 2)."""
    if len(series.ahead) < 2:
        return np.zeros((0, 2))
    x, low, best, high = _places(frame, series)
    draw_ends(sheet, x, low, high)
    draw_likely(sheet, x, best)
    between = np.arange(x[0], x[-1], 5.0)
    lines = [np.column_stack((between, np.interp(between, x, y))) for y in (low, best, high)]
    return np.concatenate(lines)


def draw_ends(sheet: Sheet, x: FloatArray, low: FloatArray, high: FloatArray) -> None:
    """Draw what it could be over `x`: an area between two dotted ends; all shapes (n,)."""
    sheet.area(x, high, low, "fan")
    for edge in (low, high):
        sheet.line(x, edge, "forecast edge", width=1.5, dash=_DOTTED)


def draw_likely(sheet: Sheet, x: FloatArray, best: FloatArray) -> None:
    """Draw what is likely over `x`, dashed; shapes (n,)."""
    sheet.line(x, best, "forecast", width=2.5, dash=_DASHED)


def label(sheet: Sheet, frame: Frame, series: Series, placer: Placer) -> None:
    """Say beside it that nobody measured it, in one line or two; else only the key says so."""
    if len(series.ahead) < 2:
        return
    x, low, _, high = _places(frame, series)
    room = float(x[-1] - x[0])
    for lines in ((NOT_MEASURED,), tuple(NOT_MEASURED.split(" ", 1))):
        widest = max(lines, key=len)
        if WIDE[0] * len(widest) > room:
            continue
        levels = (float(high.min()) - 10.0 - WIDE[1] * (len(lines) - 1), float(low.max()) + 22.0)
        places = [Place(float(x[-1]), y, "right") for y in levels]
        place = placer.put(widest, places, narrow=False)
        if place:
            for down, words in enumerate(lines):
                y = place.y + WIDE[1] * down
                sheet.text(place.x, y, words, "fan-label wide-only", anchor=place.anchor)
        return


def _places(frame: Frame, series: Series) -> tuple[FloatArray, ...]:
    """Places across, and down for low, best and high."""
    x = np.array([frame.at(each.at) for each in series.ahead])
    ends = np.array([(each.low, each.best, each.high) for each in series.ahead])
    return x, *(frame.down(column) for column in ends.T)
