"""The heater in hours with less heating: `temperature.less-heating`.

85.0 L with a closed cover lose about 6.4 W for each °C by their measures, which is a time constant
of 15 h. A room of 12 °C from 5 pm to 6 am: 25 W hold about 16 °C there, 300 W hold 25.
"""

from dataclasses import replace
from datetime import time

import pytest

from app.domain.kit import Equipment
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Setback
from app.rules.model import Severity
from tests.rules.checks import found, plain, severity
from tests.situations import HOME, SCHOOL, calm, snapshot, tank, warm

RULE = "temperature.less-heating"
NOW = "2027-02-12 12:00"
NIGHTS = Setback(weekdays=frozenset(range(5)), starts=time(17), ends=time(6), room_c=12.0)
TANK = tank(set_point_c=25.0, coldest_room_c=18.0, cover="closed")


def heated(
    *readings: Reading, watts: float | None = 25.0, hours: Setback | None = NIGHTS, **more: object
) -> TankSnapshot:
    site = replace(SCHOOL, setbacks=() if hours is None else (hours,))
    heater = Equipment(id=1, kind="heater", name="Heater", watts=watts)
    now = str(more.pop("now", NOW))
    about = {"site": site, "tank": TANK, "equipment": (heater,)} | more
    return snapshot(now, *(readings or calm(now)), **about)


def test_a_heater_that_is_too_small_by_night() -> None:
    (asked,) = found(heated(), RULE)
    assert asked.severity is Severity.WATCH
    assert not asked.certain
    assert asked.action.adult
    text = plain(asked.reason)
    assert "the room gets 12.0 °C" in text
    assert "estimate, not measured" in text


@pytest.mark.parametrize(
    ("watts", "expected"), [(25.0, Severity.WATCH), (300.0, None), (None, None)]
)
def test_its_watts_decide(watts: float | None, expected: Severity | None) -> None:
    assert severity(heated(watts=watts), RULE) is expected


@pytest.mark.parametrize(
    ("hours", "expected"),
    [
        (NIGHTS, Severity.WATCH),
        (None, None),
        (replace(NIGHTS, room_c=None), None),  # nobody wrote how cold it gets
        (replace(NIGHTS, room_c=18.0), None),  # no colder than the room is anyway
        (replace(NIGHTS, starts=time(5), ends=time(6)), None),  # an hour is too short
    ],
)
def test_the_hours_decide(hours: Setback | None, expected: Severity | None) -> None:
    # 85 W hold 25 °C in a room of 18
    assert severity(heated(hours=hours, watts=60.0), RULE) is expected


def test_without_heater_animals_or_measures_nothing_is_said() -> None:
    assert severity(heated(tank=replace(TANK, has_heater=False)), RULE) is None
    assert severity(heated(groups=()), RULE) is None
    unmeasured = replace(TANK, shape=replace(TANK.shape, water_depth_cm=None))
    assert severity(heated(tank=unmeasured), RULE) is None


@pytest.mark.parametrize(
    ("when", "value", "expected"),
    [
        ("2027-02-12 06:00", 24.0, None),  # one below what it is set to: warm enough
        ("2027-02-12 06:00", 23.9, Severity.WATCH),
        ("2027-02-12 08:00", 24.5, None),  # two hours after they end
        ("2027-02-12 08:01", 24.5, Severity.WATCH),
        ("2027-02-11 17:10", 25.0, Severity.WATCH),  # they had hardly begun
        ("2027-01-29 06:00", 25.0, None),  # two weeks old
        ("2027-01-28 06:00", 25.0, Severity.WATCH),
    ],
)
def test_a_reading_at_the_end_of_such_hours_speaks_against_it(
    when: str, value: float, expected: Severity | None
) -> None:
    assert severity(heated(warm(value, when)), RULE) is expected


def test_a_cold_reading_in_such_hours_says_so() -> None:
    cold = heated(warm(23.5, "2027-02-12 06:30"))
    (asked,) = found(cold, "temperature.set-point-off")
    assert "The building was heated less before it." in asked.reason
    by_day = heated(warm(23.5, "2027-02-12 11:00"))
    assert "heated less" not in found(by_day, "temperature.set-point-off")[0].reason


@pytest.mark.parametrize("hour", range(7, 24, 4))
def test_time_alone_changes_nothing_before_midnight(hour: int) -> None:
    for value in (23.0, 25.0):
        first, later = (
            heated(warm(value, "2027-02-12 06:10"), now=f"2027-02-12 {clock}")
            for clock in ("06:15", f"{hour:02}:59")
        )
        assert severity(first, RULE) is severity(later, RULE)


def test_at_home_it_is_the_same() -> None:
    assert severity(heated(site=replace(HOME, setbacks=(NIGHTS,))), RULE) is Severity.WATCH
