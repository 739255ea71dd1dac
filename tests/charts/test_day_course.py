"""The chart of a day: what stands in the picture and in the table for a course."""

from dataclasses import replace

import numpy as np
import pytest

from app.charts.clean import ELEMENTS
from app.charts.day_course import DayCourse, describe, draw

from .picture import of_class, parse, strokes, words

HOURS = np.arange(0.0, 24.01, 0.25)
WAVE = np.sin((HOURS - 13.0) * np.pi / 12.0)
COURSE = DayCourse(
    tank_name="Brook", hours=HOURS, low=6.0 + WAVE, best=7.0 + WAVE, high=8.0 + WAVE,
    light_on_h=8.0, light_hours=10.0, limits=((5.0, "Act below 5"), (4.0, "Act now below 4")),
)  # fmt: skip


def picture(course: DayCourse) -> str:
    return draw(course, "c1", describe(course))


def test_the_likely_line_is_never_solid_and_lies_between_dotted_ends() -> None:
    root = parse(picture(COURSE))

    assert all(p.get("stroke-dasharray") for p in of_class(root, "forecast", "path"))
    edges = strokes(root, "edge")
    (best,) = [line for line in strokes(root, "forecast") if line not in edges]
    assert len(edges) == 2
    tops = [min(y for _, y in line) for line in (*edges, best)]
    assert min(tops[:2]) < tops[2] < max(tops[:2])
    assert of_class(root, "fan", "path")
    assert "estimate, not measured" in words(root)


def test_both_limits_are_drawn_and_named() -> None:
    shown = words(parse(picture(COURSE)))
    assert {"Act below 5", "Act now below 4", "mg/L"} <= set(shown)


@pytest.mark.parametrize(
    ("start", "hours", "boxes"), [(8.0, 10.0, 1), (20.0, 8.0, 2), (8.0, 0.0, 0), (0.0, 24.0, 1)]
)
def test_lamp_hours_past_midnight_go_on_at_the_left(start: float, hours: float, boxes: int) -> None:
    root = parse(picture(replace(COURSE, light_on_h=start, light_hours=hours)))
    assert sum(p.get("d", "").count("M") for p in of_class(root, "lights", "path")) == boxes


def test_what_is_tried_stands_beside_what_is() -> None:
    tried = replace(COURSE, as_it_is=COURSE.best + 1.0)
    (other,) = strokes(parse(picture(tried)), "series-4")
    (best,) = [s for s in strokes(parse(picture(tried)), "forecast") if len(s) > 2][2:]

    assert min(y for _, y in other) < min(y for _, y in best)
    assert "As it is the lowest is likely 7.0." in describe(tried).detail
    assert not strokes(parse(picture(COURSE)), "series-4")


def test_the_words_say_the_lowest_its_hour_and_its_ends() -> None:
    said = describe(COURSE)
    assert said.finding == "Lowest about 6.0\u00a0mg/L, towards 7:00 am."
    assert "may be 5.0 to 7.0" in said.detail
    assert "The lamp is on from 8:00 am to 6:00 pm." in said.detail
    assert said.detail.endswith("Estimate, not measured.")


@pytest.mark.parametrize(("hours", "words_"), [(0.0, "stays off"), (24.0, "stays on")])
def test_a_lamp_that_never_changes_is_said(hours: float, words_: str) -> None:
    assert words_ in describe(replace(COURSE, light_hours=hours)).detail


def test_the_table_has_every_hour_with_the_lamp() -> None:
    rows = describe(COURSE).rows
    assert len(rows) == 24
    assert rows[7] == ("7:00 am", "5.0", "6.0", "7.0", "off")
    assert rows[8][-1] == "on"
    assert rows[18][-1] == "off"


def test_a_hostile_name_stays_words_and_nothing_but_drawing() -> None:
    svg = picture(replace(COURSE, tank_name="</title><script>alert(1)</script>"))
    assert "style" not in svg
    assert {e.tag for e in parse(svg).iter()} <= ELEMENTS


def test_equal_courses_give_equal_bytes() -> None:
    assert picture(COURSE) == picture(COURSE)


def test_more_oxygen_than_usual_still_fits() -> None:
    root = parse(picture(replace(COURSE, high=COURSE.high + 9.0)))
    top = min(y for line in strokes(root, "edge") for _, y in line)
    assert top > 0.0
    assert "18" in words(root)
