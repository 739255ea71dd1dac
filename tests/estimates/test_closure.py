"""A time without people, rehearsed: what fails and on which day, worked by hand.

Friday 18 December 2026, 3 pm, to Monday 4 January 2027, 8:30 am. A tank of 78 by 34 cm, 85.0 L,
food with 45 % protein, heater line 40 mm below the water line, 50 W, that loses 5.08 W for each
°C: seen to cool from 25.0 to 24.0 °C in three hours in a room of 18 °C.
"""

from dataclasses import replace
from typing import Any

import pytest

from app.domain.kit import Equipment
from app.domain.livestock import StockGroup
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign
from app.domain.snapshot import TankSnapshot
from app.estimates.closure import Rehearsal, before_nights, rehearse
from app.estimates.closure_food import visits_wanted
from app.estimates.closure_model import Away, Part, Trouble, moment_text
from tests.rules.checks import KNOWLEDGE
from tests.situations import (
    HOME,
    NEW_YORK,
    SHAPE,
    Thing,
    at,
    fed,
    job,
    look,
    reading,
    snapshot,
    tank,
    warm,
)

LEAVES, RETURNS = at("2026-12-18 15:00"), at("2027-01-04 08:30")
HEATER = Equipment(id=1, kind="heater", name="Heater", watts=50.0)
AWAY = Away(
    leaves=LEAVES, returns=RETURNS, visits=8, grams=0.12, evaporation_mm=1.5, room_c=12.0,
    room_then_c=18.0,
)  # fmt: skip


def known(*things: Thing, **changes: Any) -> TankSnapshot:
    off = (Sign.HEATER_OFF,)
    facts = {
        "shape": replace(SHAPE, heater_line_cm=32.0),
        "set_point_c": 25.0,
        "food_protein_percent": 45.0,
    } | changes.pop("facts", {})
    about = {"equipment": (HEATER,), "tank": tank(**facts)} | changes
    return snapshot(
        "2026-12-14 18:00",
        look("2026-12-12 13:00", signs=off), warm(25.0, "2026-12-12 13:00"),
        look("2026-12-12 16:00", signs=off), warm(24.0, "2026-12-12 16:00"),
        *things, **about,
    )  # fmt: skip


def gone_through(away: Away = AWAY, *things: Thing, **changes: Any) -> Rehearsal:
    return before_nights(away, known(*things, **changes), KNOWLEDGE)


def part(trouble: Trouble, away: Away = AWAY, *things: Thing, **changes: Any) -> Part:
    found = gone_through(away, *things, **changes).part(trouble)
    assert found is not None
    return found


def test_how_long_it_lasts() -> None:
    # 16 days 17.5 h
    assert AWAY.days == pytest.approx(16 + 17.5 / 24)
    assert visits_wanted(AWAY.days, KNOWLEDGE) == 8


@pytest.mark.parametrize(("days", "visits"), [(3.9, 0), (4.0, 2), (7.0, 3), (16.7, 8)])
def test_visits_every_other_day_from_four_days_on(days: float, visits: int) -> None:
    assert visits_wanted(days, KNOWLEDGE) == visits


def test_nitrate_of_eight_visits() -> None:
    found = part(Trouble.NITRATE).estimate

    # 0.96 g x 0.45 x 0.092 = 39.7 mg N; x 4.427 / 85.0 L = 2.07 mg/L
    assert found.best == pytest.approx(2.07, abs=0.01)
    assert found.low < found.best < found.high
    assert found.missing == ("a nitrate test of the last weeks",)


def test_nitrate_reads_more_in_the_water_that_is_left() -> None:
    test = reading(Quantity.NITRATE, 10.0, "2026-12-14 12:00")
    back = part(Trouble.NITRATE, AWAY, test).back

    # 12.07 mg/L in 85.0 L, read in 78.3 L
    assert back is not None
    assert back[1] == pytest.approx((10.0 + 2.07) * 85.0 / (85.0 - 6.65), abs=0.05)


def test_nitrate_that_comes_to_its_line_before_they_are_back() -> None:
    # 24 mg/L, and 2.07 in 16.7 days: 25 is reached after 8 days
    line = KNOWLEDGE.value("nitrate.watch")
    test = reading(Quantity.NITRATE, line - 1.0, "2026-12-14 12:00")
    found = part(Trouble.NITRATE, AWAY, test)

    assert found.likely is not None
    assert (found.likely - LEAVES).days == pytest.approx(8, abs=1)


def test_an_overdue_change_that_nobody_wrote_does_not_lower_nitrate_on_leaving() -> None:
    # a change every week, the last one three weeks ago: it may never be done. 24 mg/L and a little
    # food until Friday are 24 or more
    meals = [fed(f"2026-12-{day:02} 08:00", grams=0.1) for day in range(1, 15)]
    overdue = job(JobKind.WATER_CHANGE, "2026-11-23 12:00", liters_out=21.0)
    test = reading(Quantity.NITRATE, 24.0, "2026-12-14 12:00")

    found = part(Trouble.NITRATE, AWAY, overdue, *meals, test)

    start = next(each for each in found.estimate.inputs if each.name == "start")
    assert start.note == "By the nitrate forecast, if no water is changed before."
    assert 24.0 <= start.best < 26.0
    assert found.fails


def test_one_visit_adds_and_two_add() -> None:
    one, two = (
        part(Trouble.NITRATE, replace(AWAY, visits=visits)).estimate.sentence for visits in (1, 2)
    )

    assert "of food in all adds about" in one
    assert "of food in all add about" in two


def test_nitrate_at_its_line_already() -> None:
    test = reading(Quantity.NITRATE, KNOWLEDGE.value("nitrate.act"), "2026-12-14 12:00")
    found = part(Trouble.NITRATE, AWAY, test)
    assert moment_text(found, AWAY, NEW_YORK) == "from the first day on"
    # whoever stays reads it too
    assert found.help == "Change water five to seven days before the first day."


def test_the_level_at_one_and_a_half_millimeters_a_day() -> None:
    found = part(Trouble.LEVEL)

    assert found.estimate.best == pytest.approx(25.1, abs=0.05)
    assert not found.fails
    assert not found.may_fail
    assert "25\u00a0mm, 6.7\u00a0L, and stays 15\u00a0mm above" in found.estimate.sentence


def test_the_level_at_three_millimeters_a_day() -> None:
    found = part(Trouble.LEVEL, replace(AWAY, evaporation_mm=3.0))

    assert found.estimate.best == pytest.approx(50.2, abs=0.05)
    # 40 / 3 = 13.3 days
    assert found.likely == at("2026-12-31 23:00")
    assert moment_text(found, AWAY, NEW_YORK) == "Thursday 31 December, about 11 pm"


@pytest.mark.parametrize(
    ("rate", "says"),
    [
        (3.0, "Thursday 31 December, about 11 pm"),
        (2.99, "Friday 1 January, about 12 am"),  # 13.38 days: 40 minutes before midnight's half
    ],
)
def test_an_hour_is_rounded_with_its_day(rate: float, says: str) -> None:
    assert (
        moment_text(part(Trouble.LEVEL, replace(AWAY, evaporation_mm=rate)), AWAY, NEW_YORK) == says
    )


def test_a_household_with_gallons_reads_inches_too() -> None:
    us = replace(HOME, us_gallons=True, fahrenheit=True)
    said = part(Trouble.LEVEL, replace(AWAY, evaporation_mm=3.0), site=us).estimate.sentence

    assert "50\u00a0mm (2.0\u00a0in), 3.5\u00a0US gal" in said
    warmth = part(Trouble.WARMTH, AWAY, site=us)
    assert "cannot hold more than about 71.3\u00a0°F" in warmth.estimate.sentence


def test_an_estimated_fall_names_the_day_and_no_hour() -> None:
    away = replace(AWAY, evaporation_mm=None)
    found = part(Trouble.LEVEL, away, facts={"cover": "open"})

    assert found.fails
    assert found.first is not None
    assert found.likely is not None
    assert found.first < found.likely
    assert "about" not in moment_text(found, AWAY, NEW_YORK)


def test_the_heater_in_a_room_of_twelve_degrees() -> None:
    found = part(Trouble.WARMTH)

    assert found.estimate.best == pytest.approx(21.84, abs=0.01)
    assert found.fails
    assert "66\u00a0W hold 25.0\u00a0°C" in found.help
    assert found.back is not None
    assert found.back[0] < found.estimate.low


@pytest.mark.parametrize(
    ("changed", "fails"),
    [
        ({"heater_w": 66.1}, False),
        ({"heater_w": 60.0}, True),  # 23.8 °C: more than one degree too little
        ({"heater_w": 62.0}, False),  # 24.2 °C
        ({"room_c": 18.0}, False),
    ],
)
def test_more_than_a_degree_below_the_set_point_fails(
    changed: dict[str, float], fails: bool
) -> None:
    assert part(Trouble.WARMTH, replace(AWAY, **changed)).fails is fails  # type: ignore[arg-type]


def test_how_long_nothing_comes() -> None:
    # 16.7 / 9 = 1.9 days; with two visits 5.6
    assert part(Trouble.FOOD).estimate.best == pytest.approx(1.86, abs=0.01)
    hungry = part(Trouble.FOOD, replace(AWAY, visits=2))
    assert hungry.fails
    assert "about 8 visits" in hungry.help
    assert not part(Trouble.FOOD).fails


def test_what_fails_comes_in_the_order_of_its_days() -> None:
    failing = gone_through(replace(AWAY, evaporation_mm=3.0, visits=0)).failing

    assert [each.trouble for each in failing] == [Trouble.WARMTH, Trouble.FOOD, Trouble.LEVEL]


@pytest.mark.parametrize(
    ("trouble", "away", "facts", "missing"),
    [
        (Trouble.LEVEL, {}, {"shape": SHAPE}, "the heater’s water line"),
        (Trouble.WARMTH, {"room_c": None}, {}, "how cold the room gets"),
        (Trouble.NITRATE, {"grams": None}, {}, "the grams of a meal"),
        (Trouble.NITRATE, {}, {"shape": replace(SHAPE, water_depth_cm=None)},
         "the tank’s measures"),
    ],
)  # fmt: skip
def test_what_is_missing_is_named_and_never_fails(
    trouble: Trouble, away: dict[str, Any], facts: dict[str, Any], missing: str
) -> None:
    found = part(trouble, replace(AWAY, **away), facts=facts)

    assert missing in found.estimate.missing
    assert not found.fails


def test_without_watts_the_warmth_is_not_told() -> None:
    found = part(Trouble.WARMTH, equipment=())

    assert found.estimate.missing == ("the heater’s watts",)
    assert not found.estimate.known


def test_a_tank_without_a_heater_has_no_part_for_it() -> None:
    found = gone_through(facts={"has_heater": False})

    assert found.part(Trouble.WARMTH) is None
    level = found.part(Trouble.LEVEL)
    assert level is not None
    assert not level.estimate.missing


def test_the_nights_at_both_ends() -> None:
    fish = (StockGroup(id=1, name="Shoal", count=10, length_cm=4.0),)
    found = rehearse(AWAY, known(groups=fish, site=HOME), KNOWLEDGE).part(Trouble.OXYGEN)

    assert found is not None
    assert found.estimate.low < found.estimate.best < found.estimate.high
    assert "in the first night" in found.estimate.sentence
    assert not found.fails


def test_many_fish_in_a_still_time_fail_in_the_first_night() -> None:
    fish = (StockGroup(id=1, name="Shoal", count=60, length_cm=8.0),)
    found = rehearse(AWAY, known(groups=fish, site=HOME), KNOWLEDGE).part(Trouble.OXYGEN)

    assert found is not None
    assert found.likely == LEAVES


def test_fish_of_unknown_length_leave_the_nights_open() -> None:
    found = rehearse(AWAY, known(), KNOWLEDGE).part(Trouble.OXYGEN)

    assert found is not None
    assert found.estimate.missing == ("how long the animals are",)


def test_nobody_comes_back_before_leaving() -> None:
    with pytest.raises(ValueError, match="come back after they leave"):
        rehearse(replace(AWAY, returns=LEAVES), known(), KNOWLEDGE)


def test_every_part_says_that_it_was_not_measured() -> None:
    found = rehearse(AWAY, known(), KNOWLEDGE)
    for each in found.parts:
        if each.estimate.known and each.trouble is not Trouble.FOOD:
            assert "estimate, not measured" in each.estimate.sentence
