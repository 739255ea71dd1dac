"""Too cold, too warm, jumping, swinging. Edges: the project's own choice and common practice."""

import pytest

from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.tank import Range
from app.rules.model import Severity
from tests.rules.checks import found, plain, severity
from tests.situations import HOME, snapshot, tank, warm

NOW = "2027-02-03 09:00"
RULE = "temperature.out-of-range"
OWN = tank(ranges=(Range(quantity=Quantity.TEMPERATURE, low=23.0, high=26.0, set_by="Ms Reed"),))


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (17.9, Severity.EMERGENCY),
        (18.0, Severity.ACT),
        (21.0, Severity.ACT),
        (21.1, Severity.WATCH),
        (22.9, Severity.WATCH),
        (23.0, None),
        (26.0, None),
        (26.1, Severity.WATCH),
        (27.9, Severity.WATCH),
        (28.0, Severity.ACT),
        (31.0, Severity.ACT),
        (31.1, Severity.EMERGENCY),
    ],
)
def test_both_sides_of_a_tanks_own_range(value: float, expected: Severity | None) -> None:
    assert severity(snapshot(NOW, warm(value, NOW), tank=OWN), RULE) is expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (22.9, Severity.WATCH),
        (23.0, None),
        (28.0, None),
        (28.1, Severity.WATCH),
        (29.9, Severity.WATCH),
        (30.0, Severity.ACT),
    ],
)
def test_the_general_range_where_nobody_set_one(value: float, expected: Severity | None) -> None:
    assert severity(snapshot(NOW, warm(value, NOW)), RULE) is expected


def test_the_outer_edges_stay_whatever_range_was_set() -> None:
    cool = tank(ranges=(Range(quantity=Quantity.TEMPERATURE, low=14.0, high=22.0),))
    assert severity(snapshot(NOW, warm(15.0, NOW), tank=cool), RULE) is Severity.EMERGENCY


def test_an_open_end_takes_the_general_one() -> None:
    half = tank(ranges=(Range(quantity=Quantity.TEMPERATURE, low=None, high=25.0),))
    assert severity(snapshot(NOW, warm(22.9, NOW), tank=half), RULE) is Severity.WATCH
    assert severity(snapshot(NOW, warm(25.1, NOW), tank=half), RULE) is Severity.WATCH


def test_age_never_clears_it_a_new_reading_does() -> None:
    cold = warm(20.0, "2027-01-10 09:00")
    assert severity(snapshot(NOW, cold, tank=OWN), RULE) is Severity.ACT
    assert severity(snapshot(NOW, cold, warm(24.0, NOW), tank=OWN), RULE) is None


def test_a_doubtful_thermometer_may_raise_and_not_clear() -> None:
    cold, doubtful = warm(20.0, "2027-02-03 08:00"), warm(24.0, NOW, kit_doubtful=True)
    assert severity(snapshot(NOW, cold, doubtful, tank=OWN), RULE) is Severity.ACT
    worse = warm(17.0, NOW, kit_doubtful=True)
    assert severity(snapshot(NOW, cold, worse, tank=OWN), RULE) is Severity.EMERGENCY


def test_it_speaks_in_the_units_of_the_site() -> None:
    us = HOME.__class__(name="H", zone=HOME.zone, fahrenheit=True)
    finding = found(snapshot(NOW, warm(20.0, NOW), tank=OWN, site=us), RULE)[0]
    assert "68.0 °F" in plain(finding.reason)
    assert "73.4 to 78.8 °F" in plain(finding.reason)
    assert any("set for this tank by Ms Reed" in shown.basis for shown in finding.limits)


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ((25.0, "2027-02-03 03:00"), (22.0, NOW), Severity.EMERGENCY),
        ((25.0, "2027-02-03 02:59"), (22.0, NOW), None),
        ((25.0, "2027-02-03 08:00"), (22.1, NOW), None),
        ((22.0, "2027-02-03 08:00"), (25.0, NOW), Severity.EMERGENCY),
    ],
)
def test_a_jump_within_six_hours(
    first: tuple[float, str], second: tuple[float, str], expected: Severity | None
) -> None:
    assert severity(snapshot(NOW, warm(*first), warm(*second)), "temperature.jump") is expected


@pytest.mark.parametrize(
    ("later", "expected"),
    [
        (warm(25.0, "2027-02-02 13:59"), Severity.EMERGENCY),
        (warm(25.0, "2027-02-02 14:00"), None),
        (warm(25.0, "2027-02-02 14:00", kit_doubtful=True), Severity.EMERGENCY),
    ],
)
def test_six_calm_hours_end_a_jump(later: Reading, expected: Severity | None) -> None:
    pair = (warm(22.0, "2027-02-02 06:00"), warm(25.0, "2027-02-02 08:00"))
    assert severity(snapshot(NOW, *pair, later), "temperature.jump") is expected


def swings(*days: int, width: float = 3.1) -> list[Reading]:
    return [
        warm(value, f"2027-02-{day:02d} {hour}")
        for day in days
        for value, hour in ((22.0, "06:00"), (22.0 + width, "16:00"))
    ]


@pytest.mark.parametrize(
    ("readings", "expected"),
    [
        (swings(2), None),
        (swings(1, 2), Severity.WATCH),
        (swings(1, 2, width=3.0), None),
        ([*swings(1, 2), warm(23.0, "2027-02-07 09:00")], Severity.WATCH),
        ([*swings(1, 2), warm(23.0, "2027-02-08 09:00")], None),
    ],
)
def test_a_swing_on_two_days_of_seven(readings: list[Reading], expected: Severity | None) -> None:
    assert severity(snapshot("2027-02-20 09:00", *readings), "temperature.swinging") is expected


def test_the_working_of_a_household_that_reads_fahrenheit_is_in_fahrenheit() -> None:
    us = HOME.__class__(name="H", zone=HOME.zone, fahrenheit=True)
    (cold,) = found(snapshot(NOW, warm(15.0, NOW), site=us), "temperature.out-of-range")
    # by the definition of the scale 15 °C = 59 °F and 23 °C = 73.4 °F; 8 °C apart are 14.4 °F
    assert [plain(f"{line.text} {line.answer}") for line in cold.working][1:] == [
        "73.4 − 59.0 = 14.4 °F"
    ]


@pytest.mark.parametrize(
    ("cold", "when", "expected"),
    [
        (20.0, "2027-02-02 13:01", Severity.WATCH),
        (20.0, "2027-02-02 13:00", None),
        (29.0, "2027-02-02 21:01", Severity.WATCH),
        (29.0, "2027-02-02 21:00", None),
        (22.0, "2027-02-03 08:00", None),  # it had only watched
    ],
)
def test_after_action_one_good_reading_is_watched_for_a_while(
    cold: float, when: str, expected: Severity | None
) -> None:
    now = snapshot(NOW, warm(cold, when), warm(24.0, NOW), tank=OWN)
    assert severity(now, RULE) is expected
