"""Hours in an outage. The stories' numbers, each worked by hand beside its test."""

import math
from dataclasses import replace

import pytest

from app.domain.kit import Equipment
from app.domain.quantities import Quantity
from app.domain.records import Observation, Reading, Sign
from app.domain.snapshot import TankSnapshot
from app.domain.tank import TankShape
from app.estimates.missing import ANIMALS, MEASURES
from app.estimates.model import Origin
from app.estimates.outage import (
    Reaching,
    Situation,
    hours_until,
    hours_words,
    oxygen_falls,
    reaching,
    stopped,
)
from app.estimates.outage_warmth import HEATER_WATTS, too_cold, too_warm
from app.estimates.outlook import oxygen_outlook
from app.science.oxygen_day import OxygenDay
from tests.estimates.test_oxygen import NOW, by_hand
from tests.rules.checks import KNOWLEDGE
from tests.situations import look, reading, snapshot, tank, warm

AS_IT_IS = Situation()
MOST_H = 72.0


def lines(found: Reaching) -> list[float]:
    return [each.best for each in found.lines]


def a_day(exchange_per_hour: float) -> OxygenDay:
    """100 L at 25 °C that use 0.20 mg/L in an hour, whatever is left of it."""
    return OxygenDay(
        volume_l=100.0, saturation=8.26, exchange_l_per_h=100.0 * exchange_per_hour, made=5.0,
        plants=0.0, fish=20.0, bacteria=0.0, bed=0.0, light_on_h=8.0, light_hours=10.0,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("exchange", "hours"),
    [
        (0.05, 26.2),  # it settles at 8.26 - 0.20/0.05 = 4.26; 20 h x ln(2.74/0.74)
        (0.0, 10.0),  # 2.0 mg/L at 0.20 an hour
        (0.15, math.inf),  # it settles at 6.93, above the line
    ],
)
def test_hours_from_7_to_5_as_worked_by_hand(exchange: float, hours: float) -> None:
    day = stopped(a_day(exchange), 0.0)
    assert hours_until(day, 7.0, 5.0, most_h=MOST_H) == pytest.approx(hours, abs=0.05)


def test_the_range_is_said_in_whole_hours_and_never_as_measured() -> None:
    found = reaching("oxygen is 5 mg/L", 10.0, 18.0, 26.2, MOST_H)
    assert found.sentence == "oxygen is 5 mg/L: 10 to 26 hours; estimate, not measured."


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0.0, 0.0, "reached already"),
        (0.0, math.inf, "reached already, or hours away"),
        (0.8, 2.7, "0.5 to 2.5 hours"),
        (9.9, math.inf, "9 hours or more"),
        (math.inf, math.inf, "not within 72 hours"),
        (5.2, 5.9, "about 5 hours"),
        (1.1, 1.4, "about 1 hour"),
        (1.2, math.inf, "1 hour or more"),
        (1.0, 3.0, "1 to 3 hours"),
    ],
)
def test_hours_are_rounded_down_and_have_no_end_where_there_is_none(
    low: float, high: float, words: str
) -> None:
    assert hours_words(low, high, MOST_H) == words


def test_without_the_filter_its_bacteria_use_nothing_as_worked_by_hand() -> None:
    # 7.35 fish + 7.56 plants + 1.75 leftovers + 3.00 sand = 19.66 mg/h; nothing comes in:
    # from 8.0 to 5.0 in 40 L that is 120 mg, a little more than 6.1 h as uses fall with oxygen
    found = oxygen_falls(by_hand(), KNOWLEDGE, Situation(oxygen=8.0))
    least = found.lines[0].low
    likely = 120.0 / (19.66 - 0.005 * 0.18 * 1000.0 * 2.0)  # the surface lets a little through
    assert least < 6.1
    assert found.lines[0].best == pytest.approx(likely, rel=0.1)
    assert least < found.lines[0].best < found.lines[0].high


def test_lower_lines_come_later() -> None:
    found = oxygen_falls(by_hand(), KNOWLEDGE, AS_IT_IS)
    assert lines(found) == sorted(lines(found))
    assert [each.what for each in found.lines] == [f"oxygen is {n}\u00a0mg/L" for n in (5, 4, 3)]


@pytest.mark.parametrize(
    ("given", "more", "origin"),
    [
        (Situation(oxygen=7.0), (), Origin.TYPED),
        (AS_IT_IS, (reading(Quantity.OXYGEN, 7.5, "2027-02-12 09:00"),), Origin.MEASURED),
        (AS_IT_IS, (reading(Quantity.OXYGEN, 7.5, "2027-02-11 09:00"),), Origin.ASSUMED),
        (AS_IT_IS, (), Origin.ASSUMED),
    ],
)
def test_where_oxygen_starts(given: Situation, more: tuple[Reading, ...], origin: Origin) -> None:
    found = oxygen_falls(by_hand(*more), KNOWLEDGE, given)
    start = next(each for each in found.inputs if each.name == "oxygen")
    assert start.origin is origin


def test_without_measures_or_lengths_nothing_is_told() -> None:
    bare = by_hand(tank=tank(shape=TankShape(length_cm=60, width_cm=30)))
    assert oxygen_falls(bare, KNOWLEDGE, AS_IT_IS).missing == (MEASURES,)
    assert too_cold(bare, KNOWLEDGE, AS_IT_IS, (22.0,)).missing == (MEASURES,)
    unknown = snapshot("2027-02-12 18:00")
    assert oxygen_falls(unknown, KNOWLEDGE, AS_IT_IS).missing == (ANIMALS,)


def cooled() -> TankSnapshot:
    """Heater off at 13:00 at 25 °C; 24 °C at 16:00."""
    off = (Sign.HEATER_OFF,)
    return snapshot(
        "2027-02-12 16:00",
        look("2027-02-12 13:00", signs=off),
        warm(25.0, "2027-02-12 13:00"),
        look("2027-02-12 16:00", signs=off),
        warm(24.0, "2027-02-12 16:00"),
    )


def test_an_outage_tells_how_fast_this_tank_cools() -> None:
    # 3 h / ln(7/6) = 19.5 h; from 24 to 22 in a room of 18: 19.5 x ln(6/4) = 7.89 h, at 23:53
    found = too_cold(cooled(), KNOWLEDGE, Situation(room_c=18.0), (22.0,))
    assert found.lines[0].best == pytest.approx(7.89, abs=0.01)
    assert found.lines[0].low < 7.89 < found.lines[0].high
    loss = next(each for each in found.inputs if each.name == "loss")
    assert loss.origin is Origin.MEASURED
    assert loss.best == pytest.approx(1.163 * 85.0 / 19.46, abs=0.02)


def test_by_measures_the_hours_are_wider_and_said_to_be_assumed() -> None:
    measured = too_cold(cooled(), KNOWLEDGE, Situation(room_c=18.0), (22.0,))
    now = snapshot("2027-02-12 16:00", warm(24.0, "2027-02-12 16:00"))
    by_measures = too_cold(now, KNOWLEDGE, Situation(room_c=18.0), (22.0,))
    assert by_measures.lines[0].width > measured.lines[0].width
    loss = next(each for each in by_measures.inputs if each.name == "loss")
    assert loss.origin is Origin.ASSUMED


def test_a_warm_room_never_gets_it_too_cold() -> None:
    found = too_cold(cooled(), KNOWLEDGE, Situation(room_c=23.0), (22.0,))
    assert math.isinf(found.lines[0].low)


def test_a_heater_that_does_not_stop() -> None:
    # with 5.08 W for each °C, 100 W end at 18 + 19.7 = 37.7; from 24 to 28 in
    # 19.46 h x ln(13.7/9.7) = 6.7 h
    stuck = snapshot_with_heater(100.0)
    found = too_warm(stuck, KNOWLEDGE, Situation(room_c=18.0), (28.0, 31.0))
    assert found.held is not None
    assert found.held.best == pytest.approx(37.7, abs=0.1)
    assert found.reaching.lines[0].best == pytest.approx(6.7, abs=0.1)
    assert found.reaching.lines[1].best > found.reaching.lines[0].best


def test_a_small_heater_that_does_not_stop_does_no_harm() -> None:
    found = too_warm(snapshot_with_heater(30.0), KNOWLEDGE, Situation(room_c=18.0), (28.0,))
    assert math.isinf(found.reaching.lines[0].best)


def test_a_heater_without_watts_tells_nothing() -> None:
    found = too_warm(cooled(), KNOWLEDGE, Situation(room_c=18.0), (28.0,))
    assert found.reaching.missing == (HEATER_WATTS,)


def snapshot_with_heater(watts: float) -> TankSnapshot:
    return replace(cooled(), equipment=(Equipment(id=1, kind="heater", name="H", watts=watts),))


def test_rules_get_the_hours_without_a_filter() -> None:
    off = look(NOW, signs=(Sign.FILTER_OFF,))
    outlook = oxygen_outlook(by_hand(off), KNOWLEDGE)
    assert outlook is not None
    assert outlook.surface_assumed
    assert outlook.low < outlook.best < outlook.high
    # from 5.16 to 3 in 40 L at 19.66 mg/h and less: a little more than 4.4 h
    assert outlook.outage_low_h == pytest.approx(4.6, abs=0.2)
    assert outlook.outage_high_h is not None
    assert outlook.outage_high_h > 10.0


@pytest.mark.parametrize("looks", [(), (look(NOW),)], ids=["no look", "a calm look"])
def test_hours_are_worked_out_only_where_something_stopped(looks: tuple[Observation, ...]) -> None:
    outlook = oxygen_outlook(by_hand(*looks), KNOWLEDGE)
    assert outlook is not None
    assert outlook.outage_low_h is None
    assert outlook.outage_high_h is None


def test_a_measured_surface_is_no_longer_assumed() -> None:
    pair = (
        reading(Quantity.OXYGEN, 8.00, "2027-02-11 20:00"),
        reading(Quantity.OXYGEN, 5.35, "2027-02-12 06:00"),
    )
    outlook = oxygen_outlook(by_hand(*pair), KNOWLEDGE)
    assert outlook is not None
    assert not outlook.surface_assumed


def test_an_empty_tank_or_one_without_measures_has_no_outlook() -> None:
    assert oxygen_outlook(by_hand(groups=()), KNOWLEDGE) is None
    bare = tank(shape=TankShape(length_cm=60, width_cm=30))
    assert oxygen_outlook(by_hand(tank=bare), KNOWLEDGE) is None
