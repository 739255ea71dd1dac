"""Set point, heater and how fast the warmth moves. Edges: common practice."""

import pytest

from app.domain.livestock import StockGroup
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Reading
from app.domain.tank import Range
from app.rules.model import Severity
from app.rules.warmth_range import warmth_range
from tests.rules.checks import KNOWLEDGE, found, plain, severity
from tests.situations import job, snapshot, tank, warm

NOW = "2027-02-03 09:00"
OFF = "temperature.set-point-off"
AT_25 = tank(set_point_c=25.0)


def group(species: str, number: int = 6) -> StockGroup:
    return StockGroup(id=1, name=species, count=number, species=species)


# catalogue: cardinal tetra and peppered cory
WARM, COOL = KNOWLEDGE.species["Paracheirodon axelrodi"], KNOWLEDGE.species["Hoplisoma paleatum"]
LIST = (group(WARM.scientific_name), group(COOL.scientific_name))


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (22.9, Severity.ACT),
        (23.0, Severity.WATCH),
        (23.9, Severity.WATCH),
        (24.0, None),
        (26.0, None),
        (26.1, Severity.WATCH),
    ],
)
def test_both_sides_of_the_set_point(value: float, expected: Severity | None) -> None:
    assert severity(snapshot(NOW, warm(value, NOW), tank=AT_25), OFF) is expected


def test_without_heater_set_point_or_reading_nothing_is_said() -> None:
    cold = warm(20.0, NOW)
    assert severity(snapshot(NOW, cold), OFF) is None
    none = tank(set_point_c=25.0, has_heater=False)
    assert severity(snapshot(NOW, cold, tank=none), OFF) is None
    assert severity(snapshot(NOW, tank=AT_25), OFF) is None


def test_it_never_asks_to_warm_what_is_too_warm() -> None:
    hot = tank(
        set_point_c=29.5,
        ranges=(Range(quantity=Quantity.TEMPERATURE, low=22.0, high=25.0),),
    )
    now = snapshot(NOW, warm(26.0, NOW), tank=hot)
    assert severity(now, "temperature.out-of-range") is Severity.WATCH
    assert severity(now, OFF) is None


@pytest.mark.parametrize(
    ("when", "expected"), [("2027-02-02 13:01", Severity.WATCH), ("2027-02-02 13:00", None)]
)
def test_after_action_a_warm_reading_the_next_day_ends_it(
    when: str, expected: Severity | None
) -> None:
    now = snapshot(NOW, warm(22.0, when), warm(25.0, NOW), tank=AT_25)
    assert severity(now, OFF) is expected


def test_needs_of_the_list_are_the_range_where_nobody_set_one() -> None:
    assert WARM.temp_c is not None
    assert COOL.temp_c is not None
    low = max(WARM.temp_c[0], COOL.temp_c[0])
    high = min(WARM.temp_c[1], COOL.temp_c[1])
    wanted = warmth_range(snapshot(NOW, groups=LIST), KNOWLEDGE)
    assert (wanted.low, wanted.high) == (low, high)
    now = snapshot(NOW, warm(high + 0.1, NOW), groups=LIST)
    assert severity(now, "temperature.out-of-range") is Severity.WATCH
    assert severity(snapshot(NOW, warm(high, NOW), groups=LIST), "temperature.out-of-range") is None


def test_a_tanks_own_range_overrides_the_needs() -> None:
    own = tank(ranges=(Range(quantity=Quantity.TEMPERATURE, low=20.0, high=22.0),))
    wanted = warmth_range(snapshot(NOW, groups=LIST, tank=own), KNOWLEDGE)
    assert (wanted.low, wanted.high) == (20.0, 22.0)


def test_animals_that_share_nothing_leave_the_general_range() -> None:
    spans = {s.scientific_name: s.temp_c for s in KNOWLEDGE.species.values() if s.temp_c}
    coldest = min(spans, key=lambda n: spans[n][1])
    warmest = max(spans, key=lambda n: spans[n][0])
    assert spans[coldest][1] < spans[warmest][0]
    wanted = warmth_range(snapshot(NOW, groups=(group(coldest), group(warmest))), KNOWLEDGE)
    assert (wanted.low, wanted.high) == (23.0, 28.0)


@pytest.mark.parametrize(("below", "expected"), [(0.0, None), (0.1, Severity.WATCH)])
def test_a_set_point_under_what_the_animals_want(below: float, expected: Severity | None) -> None:
    low = warmth_range(snapshot(NOW, groups=LIST), KNOWLEDGE).low
    now = snapshot(NOW, groups=LIST, tank=tank(set_point_c=low - below))
    assert severity(now, "temperature.set-point") is expected


def test_a_set_point_three_degrees_under_shows_its_numbers() -> None:
    low = warmth_range(snapshot(NOW, groups=LIST), KNOWLEDGE).low
    now = snapshot(NOW, groups=LIST, tank=tank(set_point_c=low - 3.0))
    (finding,) = found(now, "temperature.set-point")
    assert "3.0 °C outside" in plain(finding.reason)


def test_while_needs_and_range_are_unknown_a_set_point_is_not_judged() -> None:
    assert severity(snapshot(NOW, tank=tank(set_point_c=15.0)), "temperature.set-point") is None


def pair(first: float, second: float, minutes: int = 60) -> tuple[Reading, Reading]:
    hour, minute = divmod(9 * 60 - minutes, 60)
    return warm(first, f"2027-02-03 {hour:02d}:{minute:02d}"), warm(second, NOW)


@pytest.mark.parametrize(
    ("readings", "expected"),
    [
        (pair(24.0, 25.0), Severity.EMERGENCY),
        (pair(24.0, 24.9), None),
        (pair(25.0, 24.0), Severity.ACT),
        (pair(25.0, 24.1), None),
        (pair(24.0, 26.0, 120), Severity.EMERGENCY),
        (pair(24.0, 25.9, 120), None),  # under 1 °C an hour
        (pair(23.0, 26.0, 181), None),
    ],
)
def test_an_hour_s_move(readings: tuple[Reading, Reading], expected: Severity | None) -> None:
    assert severity(snapshot(NOW, *readings), "temperature.rate") is expected


@pytest.mark.parametrize(("end", "expected"), [(25.5, None), (22.5, Severity.ACT)])
def test_rising_without_a_heater_is_no_stuck_heater(end: float, expected: Severity | None) -> None:
    # a rise of up to 2 °C in a day is in order: a public aquarium's teaching text
    now = snapshot(NOW, *pair(24.0, end), tank=tank(has_heater=False))
    assert severity(now, "temperature.rate") is expected


def test_a_rise_without_a_heater_does_not_hide_a_fall() -> None:
    things = (*pair(25.0, 23.5), warm(24.8, "2027-02-03 09:30"))
    now = snapshot("2027-02-03 09:30", *things, tank=tank(has_heater=False))
    assert severity(now, "temperature.rate") is Severity.ACT


def test_a_water_change_between_them_explains_it() -> None:
    changed = job(JobKind.WATER_CHANGE, "2027-02-03 08:30", liters_out=20.0)
    assert severity(snapshot(NOW, *pair(25.0, 23.5), changed), "temperature.rate") is None


@pytest.mark.parametrize(
    ("later", "expected"), [("2027-02-03 11:59", Severity.ACT), ("2027-02-03 12:00", None)]
)
def test_three_calm_hours_end_it(later: str, expected: Severity | None) -> None:
    now = snapshot("2027-02-03 12:30", *pair(25.0, 24.0), warm(24.0, later))
    assert severity(now, "temperature.rate") is expected
