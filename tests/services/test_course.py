"""How far a tank is on its way: what is done, what is next, what one waits for."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.domain.drafts import NewJob
from app.domain.errors import NotFound, Refused
from app.domain.records import JobKind
from app.knowledge.load import load
from app.services import course, entries, story, tanks, tasks
from app.services.course import CLOSING, STARTING, Course, Way
from tests.record import Record


def way(record: Record, name: Way = STARTING) -> Course:
    with record.database.reading() as session:
        tank = tanks.tank(session, record.tank_id)
        return course.course(session, tank, name, now=record.now)


def tick(record: Record, *names: str, note: str = "", ago: float = 0.0) -> int:
    """Tick steps off, one a call of the service; the last entry's id."""
    saved = 0
    for name in names:
        step = load().steps[f"starting.{name}"]
        at = record.now - timedelta(days=ago)
        with record.database.writing() as session:
            stamp = record.stamp(at=at)
            saved = course.tick_off(session, stamp, step, note, now=record.now).entry_id
    return saved


def doubts(record: Record, name: str) -> tuple[str, ...]:
    with record.database.reading() as session:
        snapshot = tasks.snapshot_of(session, record.tank_id, now=record.now)
    return course.doubts(way(record), name, snapshot)


def test_the_steps_stand_in_the_order_of_the_knowledge(record: Record) -> None:
    keys = [s.step.key for s in way(record).steps]
    assert keys == [key for key in load().steps if key.startswith("starting.")]
    assert keys[0] == "starting.people"
    assert keys.index("starting.leak") < keys.index("starting.rinse")
    assert keys.index("starting.settle") < keys.index("starting.first")
    assert way(record, CLOSING).steps[0].step.key == "closing.homes"


def test_the_next_step_is_the_first_open_one_however_others_were_ticked(record: Record) -> None:
    tick(record, "people", "mat")
    found = way(record)
    assert found.next_one is found.state("place")
    assert doubts(record, "leak") == ("Still open: Choose the place.",)
    assert doubts(record, "place") == ()
    tick(record, "place")
    following = way(record).next_one
    assert following is not None
    assert following.step.name == "leak"
    assert doubts(record, "leak") == ()


def test_a_step_with_a_wait_says_until_when(record: Record) -> None:
    """Ticked on Monday at 8:41; 24 hours later is Tuesday, 8:41."""
    tick(record, "people", "place", "mat", "leak")
    assert doubts(record, "bucket") == ("Test for leaks: wait until tomorrow 8:41 am.",)
    assert [s.step.name for s in way(record).waiting] == ["leak"]
    record.pass_time(hours=23, minutes=59)
    assert doubts(record, "bucket") == ("Test for leaks: wait until today 8:41 am.",)
    record.pass_time(minutes=1)
    assert doubts(record, "bucket") == ()
    assert way(record).waiting == ()


def test_a_tick_of_long_ago_still_counts(record: Record) -> None:
    """A snapshot holds entries of 60 days; the steps have a query of their own."""
    tick(record, "people", ago=190)
    record.pass_time(days=200)
    tick(record, "mat")
    assert way(record).state("people").tick is not None


def test_the_last_tick_counts_and_one_taken_back_does_not(record: Record) -> None:
    tick(record, "people", ago=3, note="first")
    last = tick(record, "people", note="again")
    found = way(record).state("people").tick
    assert found is not None
    assert (found.entry_id, found.note, found.by) == (last, "again", record.adult.name)
    with record.database.writing() as session:
        entries.withdraw(session, record.tank_id, last, visitor=record.adult, now=record.now)
    before = way(record).state("people").tick
    assert before is not None
    assert before.note == "first"


def test_a_tank_without_a_heater_has_no_step_for_it(record: Record) -> None:
    assert "heater" in [s.step.name for s in way(record).steps]
    with record.database.writing() as session:
        facts = tanks.tank(session, record.tank_id).facts
        tanks.change_tank(session, record.tank_id, replace(facts, has_heater=False))
    assert "heater" not in [s.step.name for s in way(record).steps]


def test_a_step_that_is_none_is_not_found(record: Record) -> None:
    with pytest.raises(NotFound):
        way(record).state("homes")
    assert way(record, CLOSING).state("homes").tick is None


def test_the_story_names_the_step(record: Record) -> None:
    tick(record, "leak", note="dry all night")
    with record.database.reading() as session:
        line = story.story(session, record.tank_id).lines[0]
    assert (line.title, line.lines) == ("Step done: test for leaks", ("dry all night",))


def test_a_step_of_something_else_keeps_its_plain_words(record: Record) -> None:
    record.write(NewJob(job=JobKind.STEP, step="break-cover:2027-04-01", note="Aunt"))
    with record.database.reading() as session:
        assert story.story(session, record.tank_id).lines[0].title == "Step done"


def test_a_closed_tank_takes_no_tick_of_a_later_day(record: Record) -> None:
    with record.database.writing() as session:
        day = (record.now - timedelta(days=1)).date()
        tanks.close(session, record.tank_id, day, now=record.now, though_animals=True)
    with pytest.raises(Refused, match="closed on"):
        tick(record, "people")


@pytest.mark.parametrize(
    ("key", "words"),
    [("wait.leak", "24 h"), ("wait.settle", "7 days"), ("wait.heater-cool", "30 minutes")],
)
def test_waits_in_words(key: str, words: str) -> None:
    assert course.wait_words(load().numbers[key]).replace("\u00a0", " ") == words
