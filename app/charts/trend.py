"""One quantity over time: meter readings as a line, card readings as bars of what they could be.

The picture claims no more than was read: the line stops where nobody measured and at a change
of kit, and a card reading whose last step says "or more" stays open at the top.
"""

import logging
from collections.abc import Iterable
from typing import Final

import numpy as np

from app.charts import clean, days, fan, foot, plotted, style
from app.charts.describe import ChartWords
from app.charts.frame import TOP, Frame, frame_for
from app.charts.labels import Place, Placer
from app.charts.readings import CannotDrawError, Readings, check, columns, edges
from app.charts.reduce import FloatArray
from app.charts.style import WIDTH, Sheet
from app.domain.series import Band, Mark, Series, Span

NOT_AVAILABLE: Final = "This chart is not available."

_LONGEST_LABEL: Final = 28
# no name fits into less
_LEAST_LABELED: Final = 11.6

# The strip: which events have a row, in order, with class, shape and size
_ROWS: Final = {
    "change": ("event", "v", 9.0),
    "filter": ("event-full", "s", 8.0),
    "fish": ("event", "o", 9.0),
}

_log = logging.getLogger(__name__)


def draw(series: Series, chart_id: str, words: ChartWords) -> str:
    """Draw a series as SVG that may stand in a page.

    Args:
        series: What to show.
        chart_id: Lower-case letters, digits and "-", unlike any other id in the page.
        words: What `describe.describe` says of the same series.

    Returns:
        The SVG element. Equal arguments give equal text. What cannot be drawn gives a plain
        picture that says so, never an exception.

    Raises:
        ValueError: If `chart_id` is not fit for an id.
    """
    with style.DRAWING:
        try:
            check(series)
            sheet = _sheet(series)
        except (ArithmeticError, LookupError, TypeError, ValueError) as fault:
            if not isinstance(fault, CannotDrawError):
                _log.warning("A chart could not be drawn.", exc_info=True)
            sheet = _plain_sheet()
        return clean.svg(sheet, chart_id, words.title, f"{words.finding} {words.detail}")


def _plain_sheet() -> Sheet:
    sheet = Sheet(120.0)
    sheet.text(WIDTH / 2, 66.0, NOT_AVAILABLE, "strong", anchor="center")
    return sheet


def _sheet(series: Series) -> Sheet:
    meters, cards = columns(series)
    marks = [m for m in series.marks if series.start <= m.at <= series.end]
    rows = [kind for kind in _ROWS if any(m.kind == kind for m in marks)]
    frame = frame_for(series, (meters, cards), len(rows))
    sheet = Sheet(frame.height)
    placer = Placer((frame.left, -6.0, WIDTH - 4.0, frame.bottom))

    _spans(sheet, frame, series.spans)
    _bands(sheet, frame, series.bands)
    _grid(sheet, frame, series)
    foot.draw(sheet, frame, days.ticks(series.start, series.until, series.zone))
    _now(sheet, frame, series, placer)
    ahead = fan.draw(sheet, frame, series)
    covered = (plotted.cards(sheet, frame, cards), plotted.meters(sheet, frame, series, meters))
    placer.draw(*covered, ahead)
    _kit_changes(sheet, frame, (cards, meters), placer)
    _last_value(sheet, frame, series, (meters, covered[1]), placer)
    fan.label(sheet, frame, series, placer)
    _band_labels(sheet, frame, series, placer)
    _away_labels(sheet, frame, series.spans, placer)
    _strip(sheet, frame, marks, rows)
    if not len(meters) and not len(cards):
        middle = (frame.left + frame.right) / 2
        sheet.text(middle, (TOP + frame.bottom) / 2, "nobody measured", "strong", anchor="center")
    return sheet


# What lies behind


def _spans(sheet: Sheet, frame: Frame, spans: Iterable[Span]) -> None:
    """Shade what fits; light periods too narrow to be told apart would only be a gray veil."""
    for kind in ("lights", "away"):
        bounds = sorted((frame.at(s.start), frame.at(s.end)) for s in spans if s.kind == kind)
        bounds = [(left, right) for left, right in bounds if right > left]
        if not bounds:
            continue
        if kind == "lights" and np.median([right - left for left, right in bounds]) < 3.0:
            continue
        foot = frame.base if kind == "away" else frame.bottom
        sheet.boxes([(left, TOP, right, foot) for left, right in _joined(bounds)], kind)


def _joined(bounds: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Boxes that touch, or leave less than a unit between them, become one."""
    joined = [bounds[0]]
    for left, right in bounds[1:]:
        if left - joined[-1][1] < 1.0:
            joined[-1] = (joined[-1][0], max(right, joined[-1][1]))
        else:
            joined.append((left, right))
    return joined


def _bands(sheet: Sheet, frame: Frame, bands: Iterable[Band]) -> None:
    for band in bands:
        low, high = edges(band)
        if low is None and high is None:
            continue
        top = TOP if high is None else frame.level(high)
        bottom = frame.bottom if low is None else frame.level(low)
        sheet.boxes([(frame.left, top, frame.right, bottom)], "range")


def _grid(sheet: Sheet, frame: Frame, series: Series) -> None:
    """Lines across at the ticks, the edges of the bands, and the foot."""
    limits = {edge for band in series.bands for edge in edges(band) if edge is not None}
    levels = [frame.level(t) for t in frame.scale.ticks if t not in limits]
    _across(sheet, frame, levels, "grid", 1.0)
    _across(sheet, frame, [frame.level(edge) for edge in sorted(limits)], "limit", 2.0)
    foot = [frame.base]
    if frame.rows:
        foot.append(frame.bottom)
    _across(sheet, frame, foot[:1], "limit", 2.0)
    _across(sheet, frame, foot[1:], "axis", 1.0)
    for tick in frame.scale.ticks:
        y = frame.level(tick) + 5.0
        sheet.text(frame.left - 8.0, y, frame.scale.words(tick), anchor="right")
    if frame.scale.ticks and series.unit:
        unit = clean.plain(series.unit, 8)
        sheet.text(frame.left - 8.0, 12.0, unit, "wide-only", anchor="right")


def _across(sheet: Sheet, frame: Frame, levels: list[float], classes: str, width: float) -> None:
    x = [frame.left, frame.right, np.nan] * len(levels)
    sheet.line(x, [v for y in levels for v in (y, y, np.nan)], classes, width=width)


def _now(sheet: Sheet, frame: Frame, series: Series, placer: Placer) -> None:
    if series.now is None or not series.start <= series.now <= series.until:
        return
    x = frame.at(series.now)
    sheet.line([x, x], [TOP, frame.base], "now", width=2.0)
    placer.draw(_upright(frame, x))
    places = [Place(x, TOP - 6.0, "center"), Place(WIDTH - 4.0, TOP - 6.0, "right")]
    place = placer.put("now", places, narrow=True) or places[1]
    sheet.text(place.x, place.y, "now", "strong", anchor=place.anchor)


def _upright(frame: Frame, x: float) -> FloatArray:
    """What a line from top to foot covers."""
    y = np.arange(TOP, frame.bottom, 6.0)
    return np.column_stack((np.full(y.size, x), y))


# The words


def _kit_changes(
    sheet: Sheet, frame: Frame, readings: tuple[Readings, ...], placer: Placer
) -> None:
    """An upright line before the first reading with each other kit."""
    lines: list[float] = []
    for sort in readings:
        for index in sort.kit_changes():
            before, after = frame.across(sort.seconds[index - 1 : index + 1])
            x = float(after - min(9.0, (after - before) / 2))
            if all(abs(x - other) >= 6.0 for other in lines):
                lines.append(x)
    pen = [v for x in lines for v in (x, x, np.nan)]
    down = [TOP, frame.bottom, np.nan] * len(lines)
    sheet.line(pen, down, "limit kit", width=2.0, dash=(1.5, 3.0))
    placer.draw(*(_upright(frame, x) for x in lines))
    for x in lines:
        places = [
            Place(x + side, y, anchor)
            for y in (TOP + 14.0, TOP + 34.0, frame.bottom - 8.0)
            for side, anchor in ((-6.0, "right"), (6.0, "left"))
        ]
        place = placer.put("new kit", places, narrow=False)
        if place:
            sheet.text(place.x, place.y, "new kit", "wide-only", anchor=place.anchor)


def _last_value(
    sheet: Sheet, frame: Frame, series: Series, drawn: tuple[Readings, FloatArray], placer: Placer
) -> None:
    """The last reading in numbers: near its mark, or else clear of the line around it."""
    meters, line = drawn
    if not len(meters):
        return
    words = f"{meters.low[-1]:.{series.decimals}f}".replace("-", "−")
    x, y = float(frame.across(meters.seconds)[-1]), frame.level(float(meters.low[-1]))
    near = line[line[:, 0] > x - 70.0, 1]
    places = [
        Place(min(x + shift, WIDTH - 5.0), level, anchor)
        for level in (y - 12.0, y + 30.0, float(near.min()) - 12.0, float(near.max()) + 30.0)
        for shift, anchor in ((0.0, "center"), (-10.0, "right"), (10.0, "left"), (40.0, "right"))
    ]
    place = placer.put(words, places, narrow=True)
    if place:
        sheet.text(place.x, place.y, words, "strong", anchor=place.anchor)


def _band_labels(sheet: Sheet, frame: Frame, series: Series, placer: Placer) -> None:
    """The name at the upper edge of each band (or its only one), the number at both."""
    for band in series.bands:
        low, high = edges(band)
        named = False
        for edge, outward in ((high, -1.0), (low, 1.0)):
            if edge is None or (edge == low and edge <= frame.scale.low):
                continue
            number = f"{edge:.{series.decimals}f}".replace("-", "−")
            name = "" if named else clean.plain(band.label, _LONGEST_LABEL)
            label = f"{name} {number}".strip()
            place = placer.put(label, _beside_edge(frame, frame.level(edge), outward), narrow=False)
            if place:
                sheet.text(place.x, place.y, label, "strong wide-only", anchor=place.anchor)
                named = True


def _beside_edge(frame: Frame, y: float, outward: float) -> list[Place]:
    """Outside the band first, then inside; at the left, the right, then between."""
    above, below = y - 7.0, y + 17.0
    levels = (above, below) if outward < 0 else (below, above)
    width = frame.right - frame.left
    parts = ((0.0, "left"), (1.0, "right"), (0.2, "left"), (0.4, "left"), (0.6, "left"))
    return [
        Place(frame.left + 6.0 + part * (width - 12.0), level, anchor)
        for level in levels
        for part, anchor in parts
    ]


def _away_labels(sheet: Sheet, frame: Frame, spans: Iterable[Span], placer: Placer) -> None:
    for span in spans:
        if span.kind != "away":
            continue
        left, right = frame.at(span.start), frame.at(span.end)
        if right - left < _LEAST_LABELED:
            continue
        words = clean.plain(span.label, _LONGEST_LABEL) or "nobody here"
        if right - left < 7.6 * len(words) + 4.0:
            continue
        places = [Place((left + right) / 2, y, "center") for y in (frame.bottom - 10.0, TOP + 16.0)]
        place = placer.put(words, places, narrow=False)
        if place:
            sheet.text(place.x, place.y, words, "wide-only", anchor="center")


def _strip(sheet: Sheet, frame: Frame, marks: list[Mark], rows: list[str]) -> None:
    """One row a kind of event, with words where there is room before the next one."""
    for number, kind in enumerate(rows):
        classes, shape, size = _ROWS[kind]
        y = frame.row(number)
        found = sorted((m for m in marks if m.kind == kind), key=lambda m: m.at)
        places: list[float] = []
        shown: list[Mark] = []
        for mark in found:
            x = frame.at(mark.at)
            if not places or x - places[-1] >= 3.0:
                places.append(x)
                shown.append(mark)
        crowded = len(places) > 1 and float(np.median(np.diff(places))) < size + 2.0
        sheet.marks(places, [y] * len(places), classes, "|" if crowded else shape, size)
        for x, following, mark in zip(places, [*places[1:], WIDTH], shown, strict=True):
            label = clean.plain(mark.label, _LONGEST_LABEL)
            if label and x + 10.0 + 7.6 * len(label) < following - 8.0:
                sheet.text(x + 10.0, y + 5.0, label, "wide-only")
