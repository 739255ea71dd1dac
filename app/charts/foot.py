"""The days along the foot of a chart; on a narrow screen only so many labels as have room."""

from collections.abc import Sequence

import numpy as np

from app.charts.days import Tick
from app.charts.frame import Frame
from app.charts.style import WIDTH, Sheet


def draw(sheet: Sheet, frame: Frame, ticks: Sequence[Tick]) -> None:
    """Draw a mark and a label at each tick, in the order of time."""
    places = [frame.at(tick.at) for tick in ticks]
    x = [v for place in places for v in (place, place, np.nan)]
    sheet.line(x, [frame.base, frame.base + 6.0, np.nan] * len(places), "axis")
    free_from = 0.0
    for place, tick in zip(places, ticks, strict=True):
        if place > frame.right - 6.0 and len(ticks) > 1:
            continue
        half = 15.0 * len(tick.label) / 2
        narrow = place - half >= free_from and place + half <= WIDTH
        if narrow:
            free_from = place + half + 12.0
        sheet.text(
            place, frame.base + 28.0, tick.label, "" if narrow else "wide-only", anchor="center"
        )
