"""Warmth by estimate: numbers by hand, two readings without a heater, and what is missing.

The small tank of the sizes worked by hand: 60 by 30 cm, water 33 cm deep (59.4 L), 25 °C, air half
damp. Its walls are 2 x 90 x 33 cm = 0.594 m², floor and surface 0.18 m². Derived from ISO 6946 and
Smith, Löf and Jones 1998; nobody measured it on a tank.
"""

from dataclasses import replace
from typing import Any

import pytest

from app.domain.kit import Equipment
from app.domain.records import Sign
from app.domain.snapshot import TankSnapshot
from app.domain.tank import TankShape
from app.estimates.model import Origin
from app.estimates.warmth import Tried, warmth
from tests.rules.checks import KNOWLEDGE
from tests.situations import look, snapshot, tank, warm

NOW = "2027-02-12 18:00"
SMALL = TankShape(length_cm=60, width_cm=30, water_depth_cm=33)
HEATER = Equipment(id=1, kind="heater", name="Heater", watts=50.0)


def cooled(
    first: float = 25.0, later: float = 24.0, until: str = "2027-02-12 16:00"
) -> tuple[Any, ...]:
    """Found without heat at 1 pm, and still so later."""
    off = (Sign.HEATER_OFF,)
    start = "2027-02-12 13:00"
    return (look(start, signs=off), warm(first, start), look(until, signs=off), warm(later, until))


def known(*things: Any, heaters: tuple[Equipment, ...] = (HEATER,), **facts: Any) -> TankSnapshot:
    """The tank of 85.0 L, set to 25 °C, in a room of 12 °C at the coldest."""
    about = {"set_point_c": 25.0, "coldest_room_c": 12.0} | facts
    return snapshot(NOW, *things, tank=tank(**about), equipment=heaters)


@pytest.mark.parametrize(
    ("room_c", "open_w", "covered_w", "mm"), [(20.0, 55.0, 26.0, 4.7), (15.0, 90.0, 52.0, None)]
)
def test_the_sizes_worked_by_hand(
    room_c: float, open_w: float, covered_w: float, mm: float | None
) -> None:
    cover = warmth(known(shape=SMALL, coldest_room_c=room_c), KNOWLEDGE).cover

    assert cover is not None
    assert cover.open_w == pytest.approx(open_w, abs=1.5)
    assert cover.closed_w == pytest.approx(covered_w, abs=1.5)
    if mm is not None:
        assert cover.mm_a_day == pytest.approx(mm, abs=0.05)
        assert cover.liters_a_day == pytest.approx(mm * 0.18, abs=0.01)


def test_two_readings_without_a_heater() -> None:
    found = warmth(known(*cooled()), KNOWLEDGE, Tried(coldest=18.0, room_then=18.0))

    # 3 / ln(7/6) = 19.46 h; 1.163 x 85.0 / 19.46 = 5.08 W for each °C; 7 x 5.08 = 36 W
    assert found.loss is not None
    assert found.loss.constant[1] == pytest.approx(19.46, abs=0.01)
    assert found.loss.per_c.best == pytest.approx(5.08, abs=0.005)
    assert found.loss.per_c.origin is Origin.MEASURED
    assert found.holding.best == pytest.approx(35.6, abs=0.1)
    assert found.holding.low < found.holding.best < found.holding.high
    assert "estimate, not measured" in found.holding.sentence


def test_what_fifty_watts_hold_in_a_cold_room() -> None:
    found = warmth(known(*cooled()), KNOWLEDGE, Tried(room_then=18.0))

    assert found.held is not None
    assert found.held[1] == pytest.approx(21.84, abs=0.01)
    assert found.holding.best == pytest.approx(66.0, abs=0.1)
    assert found.size_w == 100.0


def test_one_step_of_the_thermometer_makes_the_ends() -> None:
    """One step of the later reading, 0.1 °C to either side, alone tells how wide it is."""
    loss = warmth(known(*cooled()), KNOWLEDGE, Tried(room_then=18.0)).loss

    assert loss is not None
    # 3 / ln(7/6.1) = 21.80 h and 3 / ln(7/5.9) = 17.55 h
    assert loss.constant[2] == pytest.approx(21.80, abs=0.01)
    assert loss.constant[0] == pytest.approx(17.55, abs=0.01)


def test_a_room_that_nobody_wrote_is_assumed_and_makes_it_less_sure() -> None:
    typed = warmth(known(*cooled()), KNOWLEDGE, Tried(room_then=18.0))
    assumed = warmth(known(*cooled()), KNOWLEDGE)

    assert assumed.loss is not None
    assert typed.loss is not None
    assert assumed.holding.width > typed.holding.width
    assert assumed.holding.narrows_most == "how warm the room was while it cooled"
    # its coldest hour of 12 °C would make the tank look better kept than it is
    assert assumed.loss.per_c.best > typed.loss.per_c.best


@pytest.mark.parametrize(
    ("first", "later", "until"),
    [
        (25.0, 24.0, "2027-02-12 13:30"),  # half an hour apart
        (25.0, 25.0, "2027-02-12 16:00"),  # it did not cool
        (25.0, 24.9, "2027-02-12 16:00"),  # one step of the thermometer
        (25.0, 17.0, "2027-02-12 16:00"),  # colder than the room of then
    ],
)
def test_readings_that_do_not_tell_leave_the_measures(
    first: float, later: float, until: str
) -> None:
    found = warmth(known(*cooled(first, later, until)), KNOWLEDGE, Tried(room_then=18.0))

    assert found.loss is not None
    assert found.loss.pair is None
    assert found.loss.per_c.origin is Origin.ASSUMED
    assert found.holding.narrows_most.startswith("two temperatures an hour or more apart")


def test_a_year_in_the_mean_room_at_a_price() -> None:
    tried = Tried(room_then=18.0, mean_room=18.0, price=0.3)
    year = warmth(known(*cooled()), KNOWLEDGE, tried).year

    assert year is not None
    assert year.kwh.best == pytest.approx(7 * 5.0805 * 24 * 365 / 1000, abs=0.1)
    assert year.cost is not None
    assert year.cost[1] == pytest.approx(93.5, abs=0.1)
    assert year.cost[0] < year.cost[1] < year.cost[2]


def test_a_warm_room_costs_nothing() -> None:
    year = warmth(known(), KNOWLEDGE, Tried(mean_room=27.0, price=0.3)).year

    assert year is not None
    assert year.kwh.high == 0.0


@pytest.mark.parametrize(
    ("heaters", "watts"),
    [
        ((HEATER, replace(HEATER, id=2, watts=25.0)), 75.0),
        ((HEATER, replace(HEATER, id=2, watts=None)), None),
        ((replace(HEATER, kind="filter"),), None),
        ((), None),
    ],
)
def test_what_the_heaters_give_together(
    heaters: tuple[Equipment, ...], watts: float | None
) -> None:
    found = warmth(known(heaters=heaters), KNOWLEDGE)

    assert found.heater_w == watts
    assert ("the heater’s watts" in found.holding.missing) is (watts is None)
    assert (found.held is None) is (watts is None)


@pytest.mark.parametrize(
    ("facts", "missing"),
    [
        ({"coldest_room_c": None}, ("how cold the room gets",)),
        ({"shape": replace(SMALL, water_depth_cm=None)}, ("the tank’s measures",)),
    ],
)
def test_what_is_missing_is_named(facts: dict[str, Any], missing: tuple[str, ...]) -> None:
    found = warmth(known(**facts), KNOWLEDGE).holding

    assert not found.known
    assert found.missing == missing


@pytest.mark.parametrize(
    ("cover", "is_known"), [("closed", True), ("gap", True), ("open", True), ("", False)]
)
def test_an_unknown_cover_widens_it_and_is_asked_for(cover: str, is_known: bool) -> None:
    found = warmth(known(cover=cover), KNOWLEDGE).holding
    assert ("how the tank is covered" in found.missing) is not is_known


def test_without_a_set_point_the_middle_of_the_range_is_taken() -> None:
    found = warmth(known(set_point_c=None), KNOWLEDGE)

    assert found.target.best == 25.5  # of 23 to 28 °C
    assert found.target.origin is Origin.ASSUMED
    assert "what the heater is set to" in found.holding.missing


@pytest.mark.parametrize("room_c", [-5.0, 0.0, 39.5, 40.0])
def test_rooms_at_the_ends_of_what_may_be_typed(room_c: float) -> None:
    found = warmth(known(), KNOWLEDGE, Tried(coldest=room_c))

    assert found.loss is not None
    assert found.loss.per_c.low > 0.0
    assert (found.holding.best > 0.0) is (room_c < 25.0)
