"""No time for food: hot water, ammonia or nitrite, and late meals before a night short of oxygen.

The edges are our own choice; 5 mg/L of oxygen is UF/IFAS FA27's.
"""

from dataclasses import replace

import pytest

from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.records import Sign
from app.domain.tank import Range
from app.rules.meal import meal_answer
from app.rules.model import MealState, Severity
from tests.rules.checks import KNOWLEDGE, found, judged, plain, severity, task
from tests.situations import Thing, at, fed, look, metered, reading, snapshot, tank, warm

RULE = "feeding.bad-time"
NOW = "2027-02-12 09:00"
HOT = warm(29.0, "2027-02-12 08:00")


@pytest.mark.parametrize(("value", "expected"), [(28.9, None), (29.0, Severity.ACT)])
def test_no_food_in_hot_water(value: float, expected: Severity | None) -> None:
    now = snapshot(NOW, warm(value, "2027-02-12 08:00"))
    assert severity(now, RULE) is expected
    state = MealState.NO_FOOD if expected else MealState.NOT_FED
    assert meal_answer(now, KNOWLEDGE).state is state


@pytest.mark.parametrize(("high", "expected"), [(28.0, Severity.ACT), (30.0, None)])
def test_a_tank_that_is_meant_to_be_that_warm_may_eat(
    high: float, expected: Severity | None
) -> None:
    own = Range(quantity=Quantity.TEMPERATURE, low=26.0, high=high)
    assert severity(snapshot(NOW, HOT, tank=tank(ranges=(own,))), RULE) is expected


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({"nitrite": 0.19}, None),
        ({"nitrite": 0.2}, Severity.ACT),
        ({"ammonia": 0.25, "ph": 7.0}, None),
        ({"ammonia": 1.0, "ph": 8.2}, Severity.ACT),
    ],
)
def test_no_food_while_ammonia_or_nitrite_asks_for_action(
    values: dict[str, float], expected: Severity | None
) -> None:
    now = snapshot(NOW, *metered("2027-02-12 08:00", **values), warm(25.0, "2027-02-12 08:00"))
    assert severity(now, RULE) is expected


def test_it_never_stands_beside_a_task_to_feed() -> None:
    hungry = fed("2027-02-05 08:00")
    own = Range(quantity=Quantity.TEMPERATURE, low=24.0, high=28.0)
    assert task(snapshot(NOW, hungry), "feed") is not None
    seen = judged(snapshot(NOW, hungry, HOT, tank=tank(ranges=(own,))))
    assert {"without-food"} <= {t.key for t in seen.tasks}
    assert "feed" not in {t.key for t in seen.tasks}
    assert seen.meal.state is MealState.NO_FOOD
    assert seen.meal.because == "the water is too warm"
    assert "use less oxygen and make less waste" in seen.meal.advice


@pytest.mark.parametrize(
    ("thing", "because"),
    [
        (look("2027-02-12 08:00", signs=(Sign.GASPING,)), "fish gasp at the surface"),
        (look("2027-02-12 08:00", signs=(Sign.POWER_CUT,)), "the power is out"),
        (look("2027-02-12 08:00", signs=(Sign.FILTER_OFF,)), "the filter does not run"),
        (look("2027-02-12 08:00", signs=(Sign.HIDING,)), ""),
        (reading(Quantity.OXYGEN, 4.9, "2027-02-12 08:00"), "oxygen too low"),
        (reading(Quantity.OXYGEN, 5.0, "2027-02-12 08:00"), ""),
        (reading(Quantity.CHLORINE, 0.1, "2027-02-12 08:00"), "chlorine too high"),
        (reading(Quantity.NITRITE, 0.2, "2027-02-09 08:00"), ""),  # three days old
        (reading(Quantity.NITRITE, 0.2, "2027-02-10 08:00"), "nitrite too high"),
    ],
)
def test_may_we_feed_knows_all_that_speaks_against_it(thing: Thing, because: str) -> None:
    # common practice in trouble: more air and no food today
    answer = meal_answer(snapshot(NOW, thing), KNOWLEDGE)
    assert answer.because == because
    assert answer.state is (MealState.NO_FOOD if because else MealState.NOT_FED)


def test_after_a_meal_it_says_no_more_food_and_the_answer_stays_fed() -> None:
    now = snapshot(NOW, HOT, fed("2027-02-12 08:30"))
    assert found(now, RULE)[0].action.title == "No more food today"
    assert meal_answer(now, KNOWLEDGE).state is MealState.FED


def test_nothing_is_said_on_a_day_without_food_and_of_an_empty_tank() -> None:
    saturday = snapshot("2027-02-13 09:00", warm(29.0, "2027-02-13 08:00"))
    assert severity(saturday, RULE) is None
    assert meal_answer(saturday, KNOWLEDGE).because == "planned"
    assert severity(snapshot(NOW, HOT, groups=()), RULE) is None


def test_a_cooler_reading_ends_it_and_no_reading_says_nothing() -> None:
    cooler = warm(28.5, "2027-02-12 08:30")
    assert severity(snapshot(NOW, HOT, cooler), RULE) is None
    assert severity(snapshot(NOW), RULE) is None


LIT = tank(light_on="08:00", light_hours=10.0)  # off at 18:00
NIGHT = OxygenOutlook(low=4.0, best=4.9, high=6.0)


@pytest.mark.parametrize(
    ("meal", "expected"),
    [
        ("2027-02-12 15:59", None),
        ("2027-02-12 16:00", Severity.INFO),
        ("2027-02-12 17:59", Severity.INFO),
        ("2027-02-12 18:00", None),  # the lamp is off
    ],
)
def test_a_meal_within_two_hours_before_the_dark(meal: str, expected: Severity | None) -> None:
    now = snapshot("2027-02-12 19:00", fed(meal), tank=LIT, oxygen=NIGHT)
    assert severity(now, RULE) is expected


@pytest.mark.parametrize(("best", "said"), [(4.9, True), (5.0, False), (None, False)])
def test_only_with_an_estimate_of_a_night_below_five(best: float | None, said: bool) -> None:
    oxygen = None if best is None else replace(NIGHT, best=best)
    now = snapshot("2027-02-12 19:00", fed("2027-02-12 17:00"), tank=LIT, oxygen=oxygen)
    finding = found(now, RULE)
    assert bool(finding) is said
    if said:
        assert "Feed in the morning" in finding[0].reason
        assert "by estimate" in plain(finding[0].reason)
        assert not finding[0].certain


@pytest.mark.parametrize(("on", "hours"), [("", 10.0), ("08:00", None)])
def test_without_the_hours_of_the_lamp_nothing_is_said(on: str, hours: float | None) -> None:
    dark = tank(light_on=on, light_hours=hours)
    now = snapshot("2027-02-12 19:00", fed("2027-02-12 17:00"), tank=dark, oxygen=NIGHT)
    assert found(now, RULE) == []


@pytest.mark.parametrize(
    ("now", "things", "said"),
    [
        ("2027-02-12 15:59", (), False),
        ("2027-02-12 16:00", (), True),  # the meal is still to come
        ("2027-02-12 18:00", (), False),
        ("2027-02-12 16:30", (fed("2027-02-12 08:00"),), False),
    ],
)
def test_a_meal_still_to_come_is_told_before(
    now: str, things: tuple[Thing, ...], said: bool
) -> None:
    assert bool(found(snapshot(now, *things, tank=LIT, oxygen=NIGHT), RULE)) is said


def test_it_holds_until_the_last_hours_begin_and_end() -> None:
    enough = OxygenOutlook(low=4.0, best=4.9, high=6.0)
    noon = judged(snapshot("2027-02-12 12:00", tank=LIT, oxygen=enough))
    assert noon.holds_until == at("2027-02-12 16:00")
    late = judged(snapshot("2027-02-12 16:30", tank=LIT, oxygen=enough))
    assert late.holds_until == at("2027-02-12 18:00")


def test_a_lamp_that_goes_off_after_midnight() -> None:
    evening = tank(light_on="16:00", light_hours=9.0)  # off at 1:00
    meal = fed("2027-02-12 00:30")
    assert found(snapshot("2027-02-12 09:00", meal, tank=evening, oxygen=NIGHT), RULE)


@pytest.mark.parametrize(
    ("when", "expected"), [("2027-02-10 08:00", Severity.ACT), ("2027-02-09 20:00", None)]
)
def test_an_old_reading_lets_the_animals_eat_again(when: str, expected: Severity | None) -> None:
    assert severity(snapshot(NOW, warm(29.5, when)), RULE) is expected
