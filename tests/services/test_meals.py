"""The double-feeding question, decided inside the write transaction."""

import threading
from datetime import UTC, datetime, timedelta

import pytest

from app.domain.quantities import Quantity
from app.rules.model import MealState
from app.services import meals, tasks
from app.services.entries import Saved
from app.services.meals import Foreseen, MealQuestion
from tests.record import ONE_SCOOP, Record, reading
from tests.statements import asked_of


def feed(
    record: Record,
    by: int,
    *,
    again: bool = False,
    token: str = "",
    told: Foreseen | None = None,
) -> Saved | MealQuestion:
    with record.database.writing() as session:
        return meals.record_meal(
            session,
            record.stamp(by=by, token=token),
            ONE_SCOOP,
            again=again,
            told=told,
            now=record.now,
        )


def told_by_the_page(record: Record) -> Foreseen | None:
    with record.database.reading() as session:
        snapshot, seen = tasks.look(session, [record.tank_id], now=record.now)[record.tank_id]
    return meals.foreseen(snapshot, seen)


def meals_today(record: Record) -> int:
    with record.database.reading() as session:
        return len(tasks.snapshot_of(session, record.tank_id, now=record.now).feedings)


def test_a_second_helper_is_asked_and_nothing_is_stored_yet(record: Record) -> None:
    feed(record, record.otter)
    record.pass_time(minutes=3)

    asked = feed(record, record.finch)

    assert isinstance(asked, MealQuestion)
    assert asked.text == "Otter fed 3 minutes ago. Did food go in again?"
    assert meals_today(record) == 1


def test_food_that_went_in_twice_is_written_and_today_says_so(record: Record) -> None:
    feed(record, record.otter)
    record.pass_time(minutes=3)
    saved = feed(record, record.finch, again=True)

    assert isinstance(saved, Saved)
    assert meals_today(record) == 2
    with record.database.reading() as session:
        _, found = tasks.look(session, [record.tank_id], now=record.now)[record.tank_id]
    assert found.meal.state is MealState.TWICE
    assert found.meal.word == "DOUBLE MEAL TODAY – NO MORE FOOD"


def test_two_who_save_in_the_same_second_make_one_meal_and_one_question(record: Record) -> None:
    answers: list[Saved | MealQuestion] = []
    threads = [
        threading.Thread(target=lambda who=who: answers.append(feed(record, who)))
        for who in (record.otter, record.finch)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(type(a).__name__ for a in answers) == ["MealQuestion", "Saved"]
    assert meals_today(record) == 1


def test_the_same_form_again_is_answered_with_the_meal_and_not_with_a_question(
    record: Record,
) -> None:
    first = feed(record, record.otter, token="form")
    again = feed(record, record.otter, token="form")

    assert isinstance(first, Saved)
    assert isinstance(again, Saved)
    assert first.entry_id == again.entry_id


@pytest.mark.parametrize(("day", "asked"), [(6, True), (7, True), (8, False)])
def test_a_meal_on_a_day_without_food_is_asked_about(record: Record, day: int, asked: bool) -> None:
    record.now = datetime(2027, 2, day, 14, 0, tzinfo=UTC)  # Saturday, Sunday, Monday
    answer = feed(record, record.otter)
    assert isinstance(answer, MealQuestion) is asked


def test_a_meal_with_its_temperature_is_one_entry(record: Record) -> None:
    with record.database.writing() as session:
        saved = meals.record_meal(
            session,
            record.stamp(by=record.otter),
            ONE_SCOOP,
            [reading(Quantity.TEMPERATURE, 24.9)],
            now=record.now,
        )
    assert isinstance(saved, Saved)
    with record.database.reading() as session:
        found = tasks.snapshot_of(session, record.tank_id, now=record.now)
    warmth = found.latest(Quantity.TEMPERATURE)
    assert warmth is not None
    assert warmth.entry_id == saved.entry_id == found.feedings[-1].id
    assert record.now - found.feedings[-1].happened_at == timedelta(0)


def test_what_the_page_told_is_not_looked_up_again_before_the_meal(record: Record) -> None:
    told = told_by_the_page(record)
    record.pass_time(minutes=3)
    with asked_of(record.database) as with_page:
        assert isinstance(feed(record, record.otter, told=told), Saved)
    record.pass_time(days=1)
    with asked_of(record.database) as without:
        assert isinstance(feed(record, record.otter), Saved)
    assert len(with_page) < 10 < len(without)


def test_what_somebody_wrote_meanwhile_counts_more_than_what_the_page_told(
    record: Record,
) -> None:
    told = told_by_the_page(record)
    feed(record, record.otter)
    record.pass_time(minutes=3)
    assert isinstance(feed(record, record.finch, told=told), MealQuestion)


def test_a_page_that_stayed_open_past_its_time_tells_nothing_any_more(record: Record) -> None:
    """Opened on Friday, sent on Saturday, when no food is planned."""
    record.now = datetime(2027, 2, 5, 14, 0, tzinfo=UTC)
    told = told_by_the_page(record)
    record.pass_time(days=1)
    assert isinstance(feed(record, record.otter, told=told), MealQuestion)


@pytest.mark.parametrize("day", [6, 8])
def test_a_page_tells_of_the_next_meal_only_where_nothing_has_to_be_asked(
    record: Record, day: int
) -> None:
    record.now = datetime(2027, 2, day, 14, 0, tzinfo=UTC)  # Saturday, Monday
    told = told_by_the_page(record)
    assert (told is not None) is (day == 8)
    if told is not None:
        assert Foreseen.from_text(told.as_text()) == told


@pytest.mark.parametrize(
    "text", ["", "1", "x 2027-02-08T13:41:00+00:00 2027-02-09T13:41:00+00:00",
             "1 2027-02-08T13:41:00 2027-02-09T13:41:00", "1 2 3", "1 a b c"],
)  # fmt: skip
def test_what_no_page_wrote_tells_nothing(text: str) -> None:
    assert Foreseen.from_text(text) is None
