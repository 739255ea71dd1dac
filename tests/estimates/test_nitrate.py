"""Nitrate ahead: the pace from a tank's own tests, the days to a line, the next change.

The tank holds 85.0 L and gets 0.25 g of food with 45 % protein a day: by hand 250 x 0.45 x 0.092 =
10.4 mg of N, x 4.427 / 85.0 = 0.54 mg/L of nitrate a day.
"""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from app.domain.quantities import Quantity
from app.domain.records import JobKind, Reading
from app.domain.snapshot import TankSnapshot
from app.domain.tank import CarePlan, Range, Tank, TankShape
from app.estimates.missing import A_NITRATE_TEST, MEASURES
from app.estimates.nitrate import ends_of_cover, pace_of
from app.estimates.nitrate_forecast import expected_at, forecast, line_of
from tests.rules.checks import KNOWLEDGE
from tests.situations import HOME, Thing, at, fed, job, reading, snapshot, tank

NOW = "2027-02-12 18:00"
BY_FOOD = 0.25 * 1000 * 0.45 * 0.092 * 4.4268 / 85.0
TAPPED = replace(HOME, tap=((Quantity.NITRATE, 5.0),))
KNOWN = tank(
    food_protein_percent=45.0, scoop_grams=0.25,
    plan=CarePlan(water_change_days=7, water_change_percent=25.0),
)  # fmt: skip


def meals(days: int = 60, grams: float | None = 0.25) -> list[Thing]:
    """A meal on each of the last days at 8:00."""
    last = at("2027-02-12 08:00")
    return [fed(last - timedelta(days=ago), grams=grams) for ago in range(days)]


def by_meter(*values: float, every: int = 7) -> list[Reading]:
    """A meter's readings, the last one now, the others a week before each other."""
    now = at(NOW)
    return [
        reading(Quantity.NITRATE, value, now - timedelta(days=every * ago))
        for ago, value in enumerate(reversed(values))
    ]


def by_card(*colors: tuple[float, float, float], every: int = 7) -> list[Reading]:
    """A card's readings as (low, color, high)."""
    now = at(NOW)
    return [
        reading(Quantity.NITRATE, color, now - timedelta(days=every * ago), low=low, high=high)
        for ago, (low, color, high) in enumerate(reversed(colors))
    ]


def written(*entries: Thing, **changes: Any) -> TankSnapshot:
    """A tank with these entries."""
    return snapshot(NOW, *entries, **({"site": TAPPED, "tank": KNOWN} | changes))


def with_range(low: float | None, high: float | None) -> Tank:
    """The tank with a nitrate range of its own."""
    return replace(KNOWN, ranges=(Range(quantity=Quantity.NITRATE, low=low, high=high),))


def test_one_test_alone_takes_the_published_range_of_what_food_becomes() -> None:
    pace = pace_of(written(*meals(), *by_meter(12.0)), KNOWLEDGE)

    assert pace is not None
    assert pace.from_tests == 0
    low, best, high = pace.rise()
    assert low < 0.8 * BY_FOOD < best < BY_FOOD < high
    assert pace.taken_up() is None


def test_a_rise_of_three_a_week_means_that_plants_take_a_fifth() -> None:
    # 7 x 0.539 = 3.77 by the food, 3.0 measured: 20 % are taken; from 12 to 20 in 18.7 days
    ahead = forecast(
        written(*meals(), *by_meter(*(12.0 - 3.0 * week for week in range(3, -1, -1))),
                tank=with_range(None, 20.0)),
        KNOWLEDGE,
    )  # fmt: skip

    assert ahead.target == 20.0
    assert ahead.taken_up is not None
    assert ahead.taken_up[0] < 0.20 < ahead.taken_up[2]
    assert ahead.taken_up[1] == pytest.approx(0.20, abs=0.08)
    assert ahead.crossing.low < 18.7 < ahead.crossing.high
    assert ahead.crossing.best == pytest.approx(18.7, abs=2.5)
    assert "estimate, not measured" in ahead.crossing.sentence


def test_more_tests_make_it_narrower() -> None:
    few = forecast(written(*meals(), *by_meter(6.0, 9.0, 12.0)), KNOWLEDGE)
    many = forecast(
        written(*meals(), *by_meter(*(12.0 - 1.5 * n for n in range(7, -1, -1)), every=4)),
        KNOWLEDGE,
    )

    assert many.crossing.width < few.crossing.width


def test_a_color_card_tells_less_than_a_meter() -> None:
    meter = forecast(written(*meals(), *by_meter(5.0, 8.0, 11.0, 14.0)), KNOWLEDGE)
    card = forecast(
        written(*meals(), *by_card((0, 5, 10), (5, 10, 20), (5, 10, 20), (5, 10, 20))), KNOWLEDGE
    )

    assert card.crossing.width > meter.crossing.width


def test_a_water_change_lowers_what_is_expected() -> None:
    change = job(JobKind.WATER_CHANGE, "2027-02-12 17:59", liters_out=34.0, liters_in=34.0)
    tests = by_meter(24.0, 27.0, 30.0)
    before = forecast(written(*meals(), *tests), KNOWLEDGE)
    earlier = [replace(t, at=t.at - timedelta(minutes=5)) for t in tests]
    after = forecast(written(*meals(), *earlier, change), KNOWLEDGE)

    assert before.now is not None
    assert after.now is not None
    # 34 of 85 L are 40 %: 0.6 x 30 + 0.4 x 5 = 20 (arithmetic)
    assert after.now.best == pytest.approx(0.6 * before.now.best + 2.0, abs=0.5)


def test_the_settle_point_of_the_present_habit() -> None:
    # +3.77 a week, tap 5, a quarter a week: 20.1 before a change, 16.3 after it (by hand)
    rise = 7 * BY_FOOD
    before = 5.0 + rise / 0.25
    steady = [before] * 8
    changes = [
        job(JobKind.WATER_CHANGE, at(NOW) - timedelta(days=7 * ago, minutes=-5), liters_out=21.25)
        for ago in range(1, 9)
    ]

    ahead = forecast(written(*meals(), *by_meter(*steady), *changes), KNOWLEDGE)

    assert ahead.settles[1].before_change == pytest.approx(20.1, abs=1.5)
    assert ahead.settles[1].after_change == pytest.approx(16.3, abs=1.2)


def test_what_every_change_must_be_to_hold_the_line() -> None:
    ahead = forecast(written(*meals(), *by_meter(9.0, 12.77, 16.54, 20.31)), KNOWLEDGE)

    # 3.77 a week between 25 and tap 5: 3.77 / 20 = 19 % (arithmetic)
    assert ahead.share == pytest.approx(0.19, abs=0.03)


def test_tap_water_above_the_line_lets_no_change_hold_it() -> None:
    site = replace(HOME, tap=((Quantity.NITRATE, 22.0),))
    ahead = forecast(
        written(*meals(), *by_meter(23.0, 24.0, 25.0), site=site, tank=with_range(None, 20.0)),
        KNOWLEDGE,
    )

    assert ahead.share is None
    assert ahead.crossing.best == 0.0
    assert "already" in ahead.crossing.sentence


def test_a_fall_that_nothing_explains_does_not_hide_the_last_test() -> None:
    tests = by_meter(*(30.0 - 3.0 * week for week in range(8)))
    ahead = forecast(written(*meals(grams=0.02), *tests), KNOWLEDGE)

    assert ahead.now is not None
    assert ahead.now.best == pytest.approx(9.0, abs=4.0)
    assert ahead.crossing.best > 30


def test_meals_without_grams_still_tell_a_pace_by_the_tests() -> None:
    unweighed = written(*meals(grams=None), *by_meter(6.0, 9.0, 12.0, 15.0))
    pace = pace_of(unweighed, KNOWLEDGE)

    assert pace is not None
    assert pace.gross is None
    assert pace.rise()[1] == pytest.approx(3.0 / 7.0, abs=0.1)
    assert forecast(unweighed, KNOWLEDGE).taken_up is None


@pytest.mark.parametrize(
    ("entries", "changes", "missing"),
    [
        (meals(), {}, A_NITRATE_TEST),
        ([*meals(), *by_meter(12.0)], {"tank": tank(shape=TankShape(length_cm=60, width_cm=30))},
         MEASURES),
    ],
)  # fmt: skip
def test_what_is_missing_is_said(
    entries: list[Thing], changes: dict[str, object], missing: str
) -> None:
    crossing = forecast(written(*entries, **changes), KNOWLEDGE).crossing

    assert not crossing.known
    assert missing in crossing.missing
    assert missing in crossing.sentence


def test_one_test_and_no_weighed_meal_tells_nothing() -> None:
    crossing = forecast(written(*meals(grams=None), *by_meter(12.0)), KNOWLEDGE).crossing

    assert not crossing.known


def test_a_doubtful_kit_and_an_old_test_do_not_count() -> None:
    doubtful = [replace(t, kit_doubtful=True) for t in by_meter(5.0, 9.0, 60.0)]
    old = reading(Quantity.NITRATE, 10.0, "2026-11-01 12:00")

    assert not forecast(written(*meals(), *doubtful), KNOWLEDGE).crossing.known
    assert not forecast(written(*meals(), old), KNOWLEDGE).crossing.known


def test_the_fan_opens_and_falls_at_planned_changes() -> None:
    ahead = forecast(written(*meals(), *by_meter(9.0, 12.0, 15.0, 18.0)), KNOWLEDGE)

    changed = [turn for turn, point in enumerate(ahead.fan) if "after" in point.note]
    assert len(changed) == 4
    for turn in changed:
        earlier, before, after = ahead.fan[turn - 2 : turn + 1]
        assert earlier.high - earlier.low < before.high - before.low
        assert after.low < before.low
        # a quarter of it becomes tap water of 5: 0.75 x before + 1.25 (arithmetic)
        assert after.best == pytest.approx(0.75 * before.best + 1.25, abs=0.1)


def test_an_overdue_change_is_to_come_and_lowers_nothing_yet() -> None:
    tests = by_meter(9.0, 12.0, 15.0, 18.0)
    long_ago = job(JobKind.WATER_CHANGE, "2027-01-10 12:00", liters_out=21.25)
    ahead = forecast(written(*meals(), *tests, long_ago), KNOWLEDGE)

    assert ahead.now is not None
    assert ahead.now.best == pytest.approx(18.0, abs=1.5)
    assert ahead.fan[2].note == "after the planned change"
    assert ahead.fan[2].best < 16.0


def test_expected_at_a_past_test_is_near_that_test() -> None:
    record = written(*meals(), *by_meter(9.0, 12.0, 15.0, 18.0))
    pace = pace_of(record, KNOWLEDGE)

    assert pace is not None
    week_ago = expected_at(at(NOW) - timedelta(days=7), pace, record)
    assert week_ago.low < 15.0 < week_ago.high


@pytest.mark.parametrize(("tap", "line"), [(5.0, 25.0), (15.0, 25.0), (20.0, 30.0)])
def test_the_line_follows_the_tap_water(tap: float, line: float) -> None:
    assert line_of(written(site=replace(HOME, tap=((Quantity.NITRATE, tap),))), KNOWLEDGE) == line


def test_tests_that_do_not_lead_to_the_newest_one_are_left_behind() -> None:
    # six weeks of steady 15, then twice 60: the food explains nothing of that
    tests = by_card(*[(10.0, 15.0, 20.0)] * 6, (40.0, 60.0, 80.0), (40.0, 60.0, 80.0))

    ahead = forecast(written(*meals(), *tests), KNOWLEDGE)

    assert ahead.taken_up is None
    assert ahead.now is not None
    assert 45.0 < ahead.now.best < 75.0


@pytest.mark.parametrize("grams", [0.25, None], ids=["weighed", "not weighed"])
def test_a_last_test_far_above_the_others_is_where_it_begins(grams: float | None) -> None:
    tests = (*by_meter(10.0, 10.0, 10.0, 10.0, 10.0), reading(Quantity.NITRATE, 110.0, at(NOW)))
    found = forecast(written(*meals(grams=grams), *tests), KNOWLEDGE)

    assert found.pace is not None
    assert found.pace.from_tests == 0
    assert found.now is not None
    assert found.now.low > 80.0
    assert f"at {found.target:.0f} mg/L already" in found.crossing.sentence


def test_a_scoop_that_is_off_widens_what_plants_take_and_not_the_rise() -> None:
    """The tests saw what the scoop really holds; only what it should make is less sure."""
    pace = pace_of(
        written(*meals(), *by_meter(*(12.0 - 3.0 * n for n in range(3, -1, -1)))), KNOWLEDGE
    )
    assert pace is not None
    shown, taken = [each / pace.per_day for each in pace.rise()], pace.taken_up()
    off = KNOWLEDGE.value("forecast.food-off") / 100.0 * shown[1]

    assert taken is not None
    # root of the squares, to each side: independent errors
    assert taken[1] - taken[0] == pytest.approx(((shown[2] - shown[1]) ** 2 + off**2) ** 0.5)
    assert taken[2] - taken[1] == pytest.approx(((shown[1] - shown[0]) ** 2 + off**2) ** 0.5)


def test_the_ends_of_a_range_follow_from_how_many_values_it_is_to_hold() -> None:
    cover = KNOWLEDGE.value("ledger.cover") / 100.0
    low, best, high = ends_of_cover(KNOWLEDGE)

    assert high - low == pytest.approx(cover)
    assert (low + high) / 2.0 == best == 0.5
