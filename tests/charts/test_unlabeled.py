"""A chart for pupils shows every reading and says nothing."""

from datetime import UTC, datetime, timedelta

import pytest

from app.charts import unlabeled
from app.domain.quantities import Quantity
from app.domain.series import Point, Series

START = datetime(2027, 2, 1, 5, 0, tzinfo=UTC)  # midnight in New York


def _series(*points: Point, days: int = 28) -> Series:
    return Series(
        quantity=Quantity.TEMPERATURE, tank_name="Brook", unit="°C", decimals=1,
        zone="America/New_York", start=START, end=START + timedelta(days=days), points=points,
    )  # fmt: skip


METER = tuple(Point(START + timedelta(days=n, hours=9), 24.0 + n / 10) for n in range(9))
CARD = tuple(Point(START + timedelta(days=n, hours=9), 10.0, 5.0, 20.0) for n in (1, 8))


@pytest.mark.parametrize("points", [METER, CARD, METER + CARD, ()])
def test_no_word_and_no_number_stands_in_it(points: tuple[Point, ...]) -> None:
    drawn = unlabeled.draw(_series(*sorted(points, key=lambda p: p.at)), "lesson")
    assert "<text" not in drawn
    assert "Temperature" not in drawn
    assert "Brook" not in drawn
    assert f"{len(points)} readings" in drawn


def test_all_readings_are_there_and_none_where_the_axes_are_left_empty() -> None:
    full = unlabeled.draw(_series(*METER), "lesson")
    assert full.count("<use") >= len(METER)
    empty = unlabeled.draw(_series(*METER), "lesson", empty=True)
    assert "series-1" in full
    assert "series-1" not in empty
    assert full == unlabeled.draw(_series(*METER), "lesson")


def test_what_no_axis_can_carry_is_left_out() -> None:
    assert unlabeled.draw(_series(Point(START, 1e12)), "lesson") == ""
