"""May we feed? Read before the act, and asked before a second meal."""

from datetime import date

import pytest

from app.domain.tank import Break, CarePlan
from app.rules.meal import feed_question, meal_answer
from app.rules.model import MealState
from tests.rules.checks import KNOWLEDGE, plain
from tests.situations import HOME, SCHOOL, Thing, at, fed, metered, snapshot, tank


def test_not_fed_yet() -> None:
    answer = meal_answer(snapshot("2027-02-08 08:00", fed("2027-02-05 08:41")), KNOWLEDGE)
    assert (answer.word, answer.facts) == ("NOT FED", "YET TODAY")
    assert answer.advice == "Planned: 1 scoop. Last fed Friday 8:41 am by Otter."


def test_fed_says_when_who_and_how_much() -> None:
    answer = meal_answer(snapshot("2027-02-08 09:00", fed("2027-02-08 08:41")), KNOWLEDGE)
    assert answer.state is MealState.FED
    assert (answer.word, answer.facts) == ("FED", "8:41, Otter, 1 scoop")
    assert answer.advice == "No more food until tomorrow."


def test_on_friday_the_next_food_is_on_monday() -> None:
    answer = meal_answer(snapshot("2027-02-05 09:00", fed("2027-02-05 08:41")), KNOWLEDGE)
    assert answer.advice == "No more food until Monday."


def test_an_afternoon_meal_says_pm() -> None:
    answer = meal_answer(snapshot("2027-02-05 16:00", fed("2027-02-05 15:05")), KNOWLEDGE)
    assert answer.facts == "3:05 pm, Otter, 1 scoop"


@pytest.mark.parametrize("when", ["2027-02-06 09:00", "2027-02-07 23:59"])
def test_no_food_on_a_weekend_at_school(when: str) -> None:
    answer = meal_answer(snapshot(when), KNOWLEDGE)
    assert (answer.word, answer.facts) == ("NO FOOD", "TODAY (planned)")
    assert answer.state is MealState.NO_FOOD


def test_no_food_on_the_plans_own_rest_day_and_in_a_break() -> None:
    rest = tank(plan=CarePlan(feed_weekdays=frozenset({0, 1, 2, 3, 4, 5})))
    sunday = snapshot("2027-02-07 09:00", tank=rest, site=HOME)
    assert meal_answer(sunday, KNOWLEDGE).state is MealState.NO_FOOD
    away = Break(first_day=date(2027, 2, 8), last_day=date(2027, 2, 12))
    site = SCHOOL.__class__(
        name="S", zone=SCHOOL.zone, present_weekdays=SCHOOL.present_weekdays, breaks=(away,)
    )
    assert meal_answer(snapshot("2027-02-12 09:00", site=site), KNOWLEDGE).state is (
        MealState.NO_FOOD
    )
    assert meal_answer(snapshot("2027-02-15 09:00", site=site), KNOWLEDGE).state is (
        MealState.NOT_FED
    )


def test_double_meal() -> None:
    twice = (fed("2027-02-08 08:41"), fed("2027-02-08 08:44", by="Finch"))
    answer = meal_answer(snapshot("2027-02-08 09:00", *twice), KNOWLEDGE)
    assert answer.word == "DOUBLE MEAL TODAY – NO MORE FOOD"
    assert len(answer.feeding_ids) == 2
    tomorrow = meal_answer(snapshot("2027-02-09 08:00", *twice), KNOWLEDGE)
    assert tomorrow.state is MealState.NOT_FED
    assert "skip one meal" in tomorrow.advice


@pytest.mark.parametrize(
    ("second", "scoops", "state"),
    [
        ("2027-02-08 12:40", 0.3, MealState.TWICE),  # 3 h 59 min later
        ("2027-02-08 12:41", 0.3, MealState.FED),  # 4 hours later, 1.3 portions in all
        ("2027-02-08 12:41", 0.4, MealState.TWICE),  # over 1.3 portions
        ("2027-02-08 17:00", None, MealState.TWICE),  # of unknown size counts as a portion
    ],
)
def test_what_counts_as_a_double_meal(second: str, scoops: float | None, state: MealState) -> None:
    meals = (fed("2027-02-08 08:41"), fed(second, scoops=scoops))
    assert meal_answer(snapshot("2027-02-08 18:00", *meals), KNOWLEDGE).state is state


@pytest.mark.parametrize(
    ("things", "fed_at", "question"),
    [
        ((), "2027-02-08 08:44", None),
        (
            (fed("2027-02-08 08:41"),),
            "2027-02-08 08:44",
            "Otter fed 3 minutes ago. Did food go in again?",
        ),
        (
            (fed("2027-02-08 08:41", by=""),),
            "2027-02-08 11:46",
            "Otter fed 3 h 5 min ago. Did food go in again?",
        ),
        ((fed("2027-02-07 23:50"),), "2027-02-08 00:10", None),
        (
            (fed("2027-02-08 08:41"),),
            "2027-02-08 08:00",
            "Otter fed 41 minutes after that. Did food go in twice?",
        ),
        ((), "2027-02-06 10:00", "No food was planned for Saturday. Did food go in?"),
    ],
)
def test_the_question_before_saving(
    things: tuple[Thing, ...], fed_at: str, question: str | None
) -> None:
    asked = feed_question(snapshot("2027-02-08 12:00", *things), at(fed_at), KNOWLEDGE)
    assert (asked and plain(asked)) == question


def test_the_question_on_a_day_without_food() -> None:
    saturday = snapshot("2027-02-06 10:00")
    asked = feed_question(saturday, at("2027-02-06 10:00"), KNOWLEDGE)
    assert asked == "No food is planned for today. Did food go in?"


def test_the_local_day_counts_and_not_utc() -> None:
    """9 pm in New York is already tomorrow in UTC."""
    evening = snapshot("2027-02-08 21:30", fed("2027-02-08 08:41"))
    assert feed_question(evening, at("2027-02-08 21:30"), KNOWLEDGE) is not None
    assert meal_answer(evening, KNOWLEDGE).state is MealState.FED


@pytest.mark.parametrize(
    ("second", "text"),
    [
        ("2027-02-08 08:41:59", "Otter fed just now. Did food go in again?"),
        ("2027-02-08 08:42:00", "Otter fed 1 minute ago. Did food go in again?"),
    ],
)
def test_a_meal_of_this_minute_is_just_now(second: str, text: str) -> None:
    found = snapshot("2027-02-08 08:45", fed("2027-02-08 08:41"))
    assert feed_question(found, at(second), KNOWLEDGE) == text


@pytest.mark.parametrize(
    ("fed_at", "asked"),
    [
        ("2027-02-08 09:00", True),
        ("2027-02-08 08:30", False),  # before the test was known
        ("2027-02-05 09:00", False),  # the plan of that day said nothing else
    ],
)
def test_a_meal_into_water_that_forbids_it_is_asked_about(fed_at: str, asked: bool) -> None:
    now = snapshot("2027-02-08 09:05", *metered("2027-02-08 08:45", nitrite=0.5))
    question = feed_question(now, at(fed_at), KNOWLEDGE)
    assert (question is not None) is asked
    if question is not None:
        assert question.startswith("Nitrite is too high.")
        assert question.endswith("Did food go in?")


def test_an_empty_tank_is_not_fed_and_says_what_to_write_down_first() -> None:
    answer = meal_answer(snapshot("2027-02-12 08:00", groups=()), KNOWLEDGE)

    assert answer.state is MealState.NO_FOOD
    assert "no animals are written down" in answer.because
    assert "Write them down first" in answer.advice


def test_animals_that_nobody_wrote_down_but_somebody_feeds_are_fed() -> None:
    meals = snapshot("2027-02-12 08:00", fed("2027-02-11 08:00"), groups=())

    assert meal_answer(meals, KNOWLEDGE).state is MealState.NOT_FED
