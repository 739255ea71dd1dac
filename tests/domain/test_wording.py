"""How numbers, ages and times are written."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain import wording
from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.tube import Seen, Tube
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


@pytest.mark.parametrize(
    ("value", "unit", "celsius", "fahrenheit"),
    [
        # a reading has the 32 of the scale, a difference has not: 23 °C = 73.4 °F, 2 °C = 3.6 °F
        (23.0, "°C", "23 °C", "73.4 °F (23 °C)"),
        (2.0, "K", "2 °C", "3.6 °F (2 °C)"),
        (0.05, "mg/L", "0.05 mg/L", "0.05 mg/L"),
    ],
)
def test_a_known_number_is_read_as_the_household_reads_its_thermometer(
    value: float, unit: str, celsius: str, fahrenheit: str
) -> None:
    said = [wording.known_amount(value, unit, fahrenheit=f) for f in (False, True)]
    assert [text.replace("\u00a0", " ") for text in said] == [celsius, fahrenheit]


def test_units_of_the_site() -> None:
    assert wording.degrees(HOME, 25.0) == "25.0\u00a0°C"
    assert wording.degrees(US, 25.0) == "77.0\u00a0°F"
    assert wording.degrees_apart(US, 2.0) == "3.6\u00a0°F"
    assert wording.water_amount(HOME, 21.25) == "21\u00a0L"
    assert wording.water_amount(HOME, 3.21) == "3.2\u00a0L"
    # 85.0 L are 22.5 US gallons: one gallon is 231 cubic inches, 3.785411784 L (NIST SP 811)
    assert wording.water_amount(US, 85.0) == "22.5\u00a0US gal"
    assert wording.volume_text(HOME, 85.0) == "85\u00a0L"
    assert wording.volume_text(US, 85.0) == "22.5\u00a0US gal (85\u00a0L)"
    assert wording.length_text(HOME, 3.5) == "3.5\u00a0cm"
    # an inch is 2.54 cm by definition (NIST SP 811)
    assert wording.length_text(US, 3.5) == "1.4\u00a0in (3.5\u00a0cm)"


@pytest.mark.parametrize(
    ("quantity", "low", "high", "text"),
    [
        (Quantity.NITRATE, 16, 22, "16 to 22 mg/L (as nitrate)"),
        (Quantity.TEMPERATURE, 23, 26, "23.0 to 26.0 °C"),
        (Quantity.PH, 7, 7, "7.0"),
        (Quantity.TEMPERATURE, 25, 25, "25.0 °C"),
    ],
)
def test_a_range_without_width_is_one_value(
    quantity: Quantity, low: float, high: float, text: str
) -> None:
    assert wording.range_text(quantity, low, high, HOME).replace("\u00a0", " ") == text


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


def seen(*bounds: tuple[float | None, float, float | None]) -> Reading:
    """Nitrate that several readers saw, each as (color, lowest, highest)."""
    tube = Tube(tuple(Seen(*each) for each in bounds))
    return reading(Quantity.NITRATE, tube.value, NOW, low=tube.low, high=tube.high, tube=tube)


TEN, TWENTY = (10, 5, 20), (20, 10, 40)
LIGHTER, DARKER = (None, 0, 5), (None, 80, None)


@pytest.mark.parametrize(
    ("readers", "text"),
    [
        (
            (TEN, TWENTY, TWENTY),
            "20 mg/L (as nitrate), 3 readers saw 10 to 20, could be 5 to 40",
        ),
        ((TEN, TEN), "10 mg/L (as nitrate), 2 readers saw the same, could be 5 to 20"),
        (
            (LIGHTER, LIGHTER, TEN),
            "less than 5 mg/L (as nitrate), 3 readers saw less than 5 to 10, could be 0 to 20",
        ),
        (
            (TWENTY, DARKER, DARKER),
            "more than 80 mg/L (as nitrate), 3 readers saw 20 to more than 80, could be 10 or more",
        ),
    ],
)
def test_several_readers_are_said_with_what_each_end_saw(
    readers: tuple[tuple[float | None, float, float | None], ...], text: str
) -> None:
    assert wording.reading_text(seen(*readers), HOME).replace("\u00a0", " ") == text


def test_several_readers_of_a_strip_thermometer_are_said_in_the_units_of_the_household() -> None:
    tube = Tube((Seen(25, 20, 30), Seen(30, 25, 35), Seen(30, 25, 35)))
    warm = reading(Quantity.TEMPERATURE, 30, NOW, low=20, high=35, tube=tube)
    said = wording.reading_text(warm, US).replace("\u00a0", " ")
    # 25, 30, 20 and 35 °C: 1.8 t + 32 (NIST SP 811, B.8)
    assert said == "86 °F, 3 readers saw 77 to 86, could be 68 to 95"


def test_a_color_that_was_converted_shows_no_more_than_three_digits() -> None:
    # 5 mg/L of nitrate as N: times 62.004 / 14.007 (IUPAC 2021)
    nitrate = reading(Quantity.NITRATE, 22.1334, NOW, low=11.0667, high=44.2668)
    said = wording.reading_text(nitrate, HOME).replace("\u00a0", " ")
    assert said == "22.1 mg/L (as nitrate), could be 11.1 to 44.3"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(30, "30 seconds"), (60, "1 minute"), (90, "90 seconds"), (300, "5 minutes")],
)
def test_a_wait_beside_a_kit(seconds: float, text: str) -> None:
    assert wording.short_while(seconds) == text


@pytest.mark.parametrize(
    ("later", "text"), [(0, "8:05 am"), (30, "8:05:30 am"), (4 * 3600, "12:05 pm")]
)
def test_a_time_with_its_seconds_only_where_it_has_some(later: float, text: str) -> None:
    assert wording.exact_clock(at(NOW) + timedelta(seconds=later), HOME.zone) == text


@pytest.mark.parametrize(
    ("hour", "text"),
    [
        (0.0, "12:00 am"),
        (8.0, "8:00 am"),
        (12.5, "12:30 pm"),
        (23.999, "12:00 am"),
        (24.0, "12:00 am"),
    ],
)
def test_an_hour_of_the_day_as_a_time(hour: float, text: str) -> None:
    assert wording.hour_text(hour) == text
