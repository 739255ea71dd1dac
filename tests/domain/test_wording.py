"""How numbers, ages and times are written."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain import wording
from app.domain.quantities import Quantity
from tests.situations import HOME, at, reading

US = replace(HOME, fahrenheit=True, us_gallons=True)
NOW = "2027-02-01 08:05"


@pytest.mark.parametrize(
    ("minutes", "text"),
    [
        (0, "0 minutes"),
        (1, "1 minute"),
        (59, "59 minutes"),
        (60, "1 h"),
        (185, "3 h 5 min"),
        (1440, "1 day"),
        (2 * 1440 + 16 * 60 + 55, "2 days 16 h 55 min"),
        (-5, "0 minutes"),
    ],
)
def test_durations(minutes: int, text: str) -> None:
    assert wording.duration(timedelta(minutes=minutes)).replace("\u00a0", " ") == text


@pytest.mark.parametrize(
    ("when", "text"),
    [
        ("2027-02-01 00:05", "today 12:05 am"),
        ("2027-01-31 12:00", "yesterday 12:00 pm"),
        ("2027-01-29 15:10", "Friday 3:10 pm"),
        ("2027-01-26 15:10", "Tuesday 3:10 pm"),
        ("2027-01-25 15:10", "Monday 25 January 3:10 pm"),
        ("2026-12-31 15:10", "Thursday 31 December 2026 3:10 pm"),
    ],
)
def test_moments_on_the_tanks_wall_calendar(when: str, text: str) -> None:
    assert wording.when_text(at(when), HOME.zone, at(NOW)) == text


def test_numbers() -> None:
    assert wording.decimal(-0.04, 1) == "0.0"
    assert wording.decimal(-1.25, 1) == "\u22121.2"
    assert wording.short(25.0) == "25"
    assert wording.short(0.005) == "0.005"
    assert wording.with_unit("7.4", "") == "7.4"


def test_units_of_the_site() -> None:
    assert wording.degrees(HOME, 25.0) == "25.0\u00a0°C"
    assert wording.degrees(US, 25.0) == "77.0\u00a0°F"
    assert wording.degrees_apart(US, 2.0) == "3.6\u00a0°F"
    assert wording.water_amount(HOME, 21.25) == "21\u00a0L"
    assert wording.water_amount(HOME, 3.21) == "3.2\u00a0L"
    # 85.0 L are 22.5 US gallons: one gallon is 231 cubic inches, 3.785411784 L (NIST SP 811)
    assert wording.water_amount(US, 85.0) == "22.5\u00a0US gal"


@pytest.mark.parametrize(
    ("value", "low", "high", "text"),
    [
        (20.0, None, None, "20 mg/L (as nitrate)"),
        (20.0, 10.0, 40.0, "20 mg/L (as nitrate), could be 10 to 40"),
        (None, 0.0, 5.0, "lighter than the first color, less than 5 mg/L (as nitrate)"),
        (None, 80.0, None, "more than 80 mg/L (as nitrate)"),
    ],
)
def test_a_reading_is_shown_as_it_is(
    value: float | None, low: float | None, high: float | None, text: str
) -> None:
    tube = reading(Quantity.NITRATE, value, NOW, low=low, high=high)
    assert wording.reading_text(tube, HOME).replace("\u00a0", " ") == text


def test_lists_and_labels() -> None:
    assert wording.listed([]) == ""
    assert wording.listed(["a"]) == "a"
    assert wording.listed(["a", "b"]) == "a and b"
    assert wording.listed(["a", "b", "c"]) == "a, b and c"
    assert wording.in_sentence("pH") == "pH"
    assert wording.in_sentence("Nitrate") == "nitrate"
    assert wording.day_text(date(2027, 2, 1), date(2027, 2, 1)) == "today"
