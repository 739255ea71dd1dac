"""Oxygen through a day and a night: what is likely dashed, its ends dotted, lamp hours shaded."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

import numpy as np

from app.charts import clean, fan, style
from app.charts.describe import ChartWords
from app.charts.frame import TOP, Frame, Scale
from app.charts.labels import Place, Placer
from app.charts.reduce import FloatArray
from app.charts.style import WIDTH, Sheet
from app.domain.wording import NBSP, decimal, hour_text
from app.estimates.model import NOT_MEASURED

HOURS: Final = 24
_TICKS: Final = {0: "midnight", 6: "6 am", 12: "noon", 18: "6 pm", 24: "midnight"}
_LEFT: Final = 58.0
_STEP_MG_PER_L: Final = 2.0
_OTHER: Final = (9.0, 2.0, 2.0, 2.0)
_UNIT: Final = "mg/L"


@dataclass(frozen=True, slots=True, kw_only=True)
class DayCourse:
    """What the chart shows: oxygen in mg/L over `hours` of a day, all of one length.

    The lamp is on from `light_on_h` for `light_hours`. `limits` are (mg/L, what it is), the
    highest first. `as_it_is` is the likely course of the record beside one that is tried.
    """

    tank_name: str
    hours: FloatArray
    low: FloatArray
    best: FloatArray
    high: FloatArray
    light_on_h: float
    light_hours: float
    limits: tuple[tuple[float, str], ...]
    as_it_is: FloatArray | None = None


def draw(course: DayCourse, chart_id: str, words: ChartWords) -> str:
    """Draw a day as SVG that may stand in a page.

    Args:
        course: What to show.
        chart_id: Lower-case letters, digits and "-", unlike any other id in the page.
        words: What `describe` says of the same course.

    Raises:
        ValueError: If `chart_id` is not fit for an id.
    """
    with style.DRAWING:
        sheet = _sheet(course)
        return clean.svg(sheet, chart_id, words.title, f"{words.finding} {words.detail}")


def describe(course: DayCourse) -> ChartWords:
    """The same in words and as a table of hours."""
    at = int(course.best.argmin())
    lowest, hour = decimal(float(course.best[at]), 1), hour_text(float(course.hours[at]))
    highest = decimal(float(course.best.max()), 1)
    low, high = decimal(float(course.low.min()), 1), decimal(float(course.high.min()), 1)
    detail = (
        f"It is likely to go between {lowest} and {highest}{NBSP}{_UNIT}. The lowest may be {low} "
        f"to {high}. {_lamp(course)}"
    )
    keys = [("fan", "likely, and what it could be")]
    if course.as_it_is is not None:
        keys.append(("series-4", "likely, as it is"))
        detail += f" As it is the lowest is likely {decimal(float(course.as_it_is.min()), 1)}."
    detail += f" {NOT_MEASURED[:1].upper()}{NOT_MEASURED[1:]}."
    keys += [("lights", "light on")] if course.light_hours else []
    return ChartWords(
        title=f"Oxygen through a day in {clean.plain(course.tank_name)}",
        finding=f"Lowest about {lowest}{NBSP}{_UNIT}, towards {hour}.",
        detail=detail,
        columns=("Hour", "Could be from", "Likely", "Could be up to", "Lamp"),
        rows=tuple(_row(course, hour) for hour in range(HOURS)),
        keys=tuple(keys),
    )


def _row(course: DayCourse, hour: int) -> tuple[str, ...]:
    low, best, high = (
        decimal(float(np.interp(hour, course.hours, values)), 1)
        for values in (course.low, course.best, course.high)
    )
    lit = (hour - course.light_on_h) % HOURS < course.light_hours
    return hour_text(hour), low, best, high, "on" if lit else "off"


def _lamp(course: DayCourse) -> str:
    if not course.light_hours:
        return "The lamp stays off."
    if course.light_hours >= HOURS:
        return "The lamp stays on."
    off = (course.light_on_h + course.light_hours) % HOURS
    return f"The lamp is on from {hour_text(course.light_on_h)} to {hour_text(off)}."


def _sheet(course: DayCourse) -> Sheet:
    frame = _frame(course)
    sheet = Sheet(frame.height)
    _lights(sheet, frame, course)
    _axes(sheet, frame, course)
    x = frame.across(course.hours * 3600.0)
    low, best, high = (frame.down(values) for values in (course.low, course.best, course.high))
    fan.draw_ends(sheet, x, low, high)
    drawn = [np.column_stack((x, y)) for y in (low, best, high)]
    if course.as_it_is is not None:
        other = frame.down(course.as_it_is)
        sheet.line(x, other, "series-4", width=2.5, dash=_OTHER)
        drawn.append(np.column_stack((x, other)))
    fan.draw_likely(sheet, x, best)
    placer = Placer((frame.left, -6.0, WIDTH - 4.0, frame.bottom))
    placer.draw(*drawn)
    _limit_labels(sheet, frame, course, placer)
    _label(sheet, frame, placer)
    return sheet


def _frame(course: DayCourse) -> Frame:
    top = max(float(course.high.max()), *(value for value, _ in course.limits))
    if course.as_it_is is not None:
        top = max(top, float(course.as_it_is.max()))
    steps = int(np.ceil((top + 0.5) / _STEP_MG_PER_L))
    ticks = tuple(_STEP_MG_PER_L * n for n in range(steps + 1))
    scale = Scale(0.0, ticks[-1], ticks, 0)
    return Frame(datetime(2000, 1, 1, tzinfo=UTC), HOURS * 3600.0, scale, _LEFT, 0)


def _lights(sheet: Sheet, frame: Frame, course: DayCourse) -> None:
    """Shade the lamp's hours; past midnight they go on at the left."""
    end = course.light_on_h + course.light_hours
    spans = [(course.light_on_h, min(end, HOURS)), (0.0, max(end - HOURS, 0.0))]
    places = [frame.across(np.array(span) * 3600.0) for span in spans if span[1] > span[0]]
    sheet.boxes([(float(p[0]), TOP, float(p[1]), frame.bottom) for p in places], "lights")


def _axes(sheet: Sheet, frame: Frame, course: DayCourse) -> None:
    limits = [value for value, _ in course.limits]
    for tick in frame.scale.ticks:
        y = frame.level(tick)
        if tick and tick not in limits:
            sheet.line([frame.left, frame.right], [y, y], "grid")
        sheet.text(frame.left - 8.0, y + 5.0, frame.scale.words(tick), anchor="right")
    for value in limits:
        y = frame.level(value)
        sheet.line([frame.left, frame.right], [y, y], "limit", width=2.0)
    sheet.line([frame.left, frame.right], [frame.base, frame.base], "limit", width=2.0)
    sheet.text(frame.left - 8.0, 12.0, _UNIT, "wide-only", anchor="right")
    ends = {0: "left", HOURS: "right"}
    for hour, label in _TICKS.items():
        x = float(frame.across(np.array([hour * 3600.0]))[0])
        sheet.line([x, x], [frame.base, frame.base + 6.0], "axis")
        sheet.text(x, frame.base + 28.0, label, anchor=ends.get(hour, "center"))


def _limit_labels(sheet: Sheet, frame: Frame, course: DayCourse, placer: Placer) -> None:
    for value, label in course.limits:
        y = frame.level(value)
        places = [
            Place(x, y + shift, anchor)
            for shift in (16.0, -6.0)
            for x, anchor in ((frame.left + 6.0, "left"), (frame.right - 6.0, "right"))
        ]
        place = placer.put(label, places, narrow=False)
        if place:
            sheet.text(place.x, place.y, label, "strong wide-only", anchor=place.anchor)


def _label(sheet: Sheet, frame: Frame, placer: Placer) -> None:
    middle = (frame.left + frame.right) / 2.0
    places = [Place(middle, y, "center") for y in (TOP + 16.0, frame.bottom - 12.0)]
    for narrow, classes in ((True, "fan-label"), (False, "fan-label wide-only")):
        place = placer.put(NOT_MEASURED, places, narrow=narrow)
        if place:
            sheet.text(place.x, place.y, NOT_MEASURED, classes, anchor=place.anchor)
            return
