"""Water that two animals share, and water that the tank has: both sides of each edge."""

from datetime import datetime, timedelta

import pytest

from app.domain.quantities import Quantity
from app.knowledge.catalogue import Span
from app.rules.needs import ClashKind, ClashLevel, Surroundings, surroundings_of
from tests.rules.checks import plain
from tests.rules.living import KNOWLEDGE, clashes, level, lodger, made
from tests.situations import TANK, reading, snapshot

CAUTION, CONFLICT = ClashLevel.CAUTION, ClashLevel.CONFLICT


@pytest.mark.parametrize(
    ("other", "expected"),
    [
        ((24.0, 30.0), None),  # 2 °C shared
        ((24.1, 30.0), CAUTION),
        ((26.0, 30.0), CAUTION),  # one point shared
        ((26.1, 30.0), CONFLICT),
    ],
)
def test_shared_temperature(other: Span, expected: ClashLevel | None) -> None:
    pair = made(name="Ada", temp_c=(20.0, 26.0)), made(name="Bea", temp_c=other)
    assert level(ClashKind.TEMPERATURE, *pair) is expected
    assert level(ClashKind.TEMPERATURE, *reversed(pair)) is expected


@pytest.mark.parametrize(
    ("other", "expected"),
    [
        ((7.0, 8.0), None),
        ((7.1, 8.0), CAUTION),
        ((7.5, 8.0), CAUTION),
        ((7.6, 8.0), CONFLICT),
    ],
)
def test_ph_apart(other: Span, expected: ClashLevel | None) -> None:
    pair = made(name="Ada", ph=(6.0, 7.0)), made(name="Bea", ph=other)
    assert level(ClashKind.PH, *pair) is expected


@pytest.mark.parametrize(
    ("other", "expected"), [((8.0, 20.0), None), ((8.5, 20.0), CAUTION), ((15.0, 20.0), CAUTION)]
)
def test_shared_hardness(other: Span, expected: ClashLevel | None) -> None:
    pair = made(name="Ada", gh=(2.0, 10.0)), made(name="Bea", gh=other)
    assert level(ClashKind.GH, *pair) is expected


@pytest.mark.parametrize(
    ("set_point", "expected"),
    [
        (20.0, None),
        (19.9, CAUTION),
        (18.1, CAUTION),
        (18.0, CONFLICT),
        (26.0, None),
        (28, CONFLICT),
    ],
)
def test_the_set_point_of_the_heater(set_point: float, expected: ClashLevel | None) -> None:
    tank = Surroundings(set_point_c=set_point)
    assert level(ClashKind.TEMPERATURE, made(temp_c=(20.0, 26.0)), tank=tank) is expected


def test_a_set_point_three_degrees_too_low_is_said_with_its_numbers_and_source() -> None:
    (found,) = clashes(lodger("Neon tetra"), tank=Surroundings(set_point_c=17.0))
    assert plain(found.text) == (
        "Neon tetra wants 20 to 26 °C; the heater is set to 17 °C, 3 °C too little."
    )
    assert found.sources[0].said.startswith("looked up: FishBase")
    assert plain(found.limits[0].text) == "A conflict from: 2 °C"


def test_a_household_in_fahrenheit_reads_fahrenheit() -> None:
    tank = Surroundings(set_point_c=17.0, fahrenheit=True)
    (found,) = clashes(lodger("Neon tetra"), tank=tank)
    # 20 °C = 68 °F, 26 °C = 78.8 °F, 17 °C = 62.6 °F, 3 °C apart = 5.4 °F apart
    assert plain(found.text) == (
        "Neon tetra wants 68 to 79 °F; the heater is set to 62.6 °F, 5.4 °F too little."
    )


@pytest.mark.parametrize(
    ("found", "expected"),
    [((20.0, 26.0), None), ((20.0, 26.1), CAUTION), ((17.9, 20.0), CONFLICT)],
)
def test_recent_temperatures(found: Span, expected: ClashLevel | None) -> None:
    tank = Surroundings(temperature_c=found)
    assert level(ClashKind.TEMPERATURE, made(temp_c=(20.0, 26.0)), tank=tank) is expected


@pytest.mark.parametrize(
    ("ph", "expected"), [(6.0, None), (5.9, CAUTION), (5.5, CAUTION), (5.4, CONFLICT), (7.0, None)]
)
def test_the_last_ph(ph: float, expected: ClashLevel | None) -> None:
    assert level(ClashKind.PH, made(ph=(6.0, 7.0)), tank=Surroundings(ph=ph)) is expected


@pytest.mark.parametrize(
    ("wanted", "gh", "expected"),
    [
        ((5.0, 10.0), 1.0, None),  # soft water is no trouble for a soft-water fish
        ((7.9, 20.0), 1.0, None),
        ((8.0, 20.0), 7.9, CAUTION),
        ((8.0, 20.0), 8.0, None),
        ((5.0, 10.0), 10.0, None),
        ((5.0, 10.0), 10.5, CAUTION),
    ],
)
def test_the_last_hardness(wanted: Span, gh: float, expected: ClashLevel | None) -> None:
    assert level(ClashKind.GH, made(gh=wanted), tank=Surroundings(gh=gh)) is expected


def test_what_nobody_measured_is_not_compared() -> None:
    assert clashes(lodger("Neon tetra"), tank=Surroundings()) == []


def test_the_surroundings_come_from_the_record() -> None:
    now = "2027-02-01 12:00"
    taken = snapshot(
        now,
        reading(Quantity.TEMPERATURE, 19.0, "2027-01-20 08:00"),
        reading(Quantity.TEMPERATURE, 23.5, "2027-01-30 08:00"),
        reading(Quantity.TEMPERATURE, 24.5, "2027-01-31 08:00"),
        reading(Quantity.PH, 7.2, "2027-01-30 08:00"),
        tank=TANK,
    )
    found = surroundings_of(taken, KNOWLEDGE)
    # the older reading is out of the seven days
    assert found.temperature_c == (23.5, 24.5)
    assert found.ph == 7.2
    assert found.gh is None
    # 78 × 34 × 36 cm = 95.5 L, less 60 % of 13.3 L of sand, less 2.5 L: 85.0 L
    assert found.net_l == pytest.approx(85.0, abs=0.1)
    # 78 × 34 × 40 cm to the rim
    assert found.glass_l == pytest.approx(106.08)
    assert found.surface_m2 == pytest.approx(0.78 * 0.34)


def test_a_temperature_of_seven_days_ago_still_counts() -> None:
    edge = datetime.fromisoformat("2027-02-01 12:00") - timedelta(days=7)
    for minutes, expected in ((0, (24.0, 24.0)), (-1, None)):
        when = f"{edge + timedelta(minutes=minutes):%Y-%m-%d %H:%M}"
        taken = snapshot("2027-02-01 12:00", reading(Quantity.TEMPERATURE, 24.0, when))
        assert surroundings_of(taken, KNOWLEDGE).temperature_c == expected
