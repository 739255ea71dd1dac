"""Incident report and story of the year: facts without people, losses only when told."""

from datetime import date, timedelta

from app.domain.drafts import NewJob, NewLook, NewStockEvent, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign, StockEventKind
from app.services import entries
from app.services.papers.incident import facts, names_in
from app.services.papers.year import year_story
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, reading
from tests.services.papers.conftest import Look

DAY = timedelta(days=1)


def died(seen: Look, *, hidden: bool) -> NewStockEvent:
    group = seen().groups[0]
    return NewStockEvent(what=StockEventKind.DIED, group_id=group.id, count=1, hidden=hidden)


def test_facts_are_those_of_the_days_without_notes_and_people(record: Record, seen: Look) -> None:
    record.write(ONE_SCOOP, at=MONDAY - 3 * DAY)
    record.write(NewLook(signs=(Sign.GASPING,), note="Otter saw it"), by=record.otter)
    record.write(NewTest(note="with Finch"), reading(Quantity.NITRITE, 1.0))
    record.write(died(seen, hidden=True), at=MONDAY + timedelta(minutes=5))
    wrong = record.write(NewJob(job=JobKind.GLASS))
    with record.database.writing() as session:
        entries.withdraw(
            session, record.tank_id, wrong.entry_id, visitor=record.adult, now=record.now
        )
    record.now = MONDAY + timedelta(hours=1)
    with record.database.reading() as session:
        found = facts(session, record.tank_id, seen().site, date(2027, 2, 8), date(2027, 2, 8))
        earlier = facts(session, record.tank_id, seen().site, date(2027, 2, 5), date(2027, 2, 7))
    assert [fact.text for fact in found] == [
        "Something odd: gasping at the surface",
        "Water test. Nitrite 1.00\u00a0mg/L (as nitrite)",
        "1 harlequin rasbora died",
    ]
    assert [fact.untold for fact in found] == [False, False, True]
    assert [fact.text for fact in earlier] == ["Fed, 1 scoop"]
    assert not {"Otter", "Finch"} & set(str(found).split())


def test_a_nickname_is_found_as_a_whole_word_only(record: Record) -> None:
    with record.database.reading() as session:
        assert names_in(session, ("Then OTTER ran.", "finches, otters")) == ("Otter",)
        assert names_in(session, ("A helper ran.",)) == ()


def test_a_year_is_counted_and_losses_are_told_only_where_pupils_know(
    record: Record, seen: Look
) -> None:
    for ago in (40, 20, 20, 1):
        record.write(ONE_SCOOP, at=MONDAY - ago * DAY, by=record.otter)
    record.write(ALL_FINE, at=MONDAY - 400 * DAY)
    change = NewJob(job=JobKind.WATER_CHANGE, liters_out=20.0, note="Finch held the hose")
    record.write(change, at=MONDAY - 30 * DAY)
    record.write(change, at=MONDAY - 10 * DAY)
    for ago, warm in ((30, 23.5), (5, 25.5)):
        when = MONDAY - ago * DAY
        record.write(NewTest(), reading(Quantity.TEMPERATURE, warm), at=when)
    record.write(died(seen, hidden=False), at=MONDAY - 8 * DAY)
    record.write(died(seen, hidden=True), at=MONDAY - 7 * DAY)
    with record.database.reading() as session:
        story = year_story(session, seen(), date(2026, 7, 1))
    done = {line.label: line.text for line in story.done}
    assert done["Fed"] == (
        "4 meals on 3 days. First on Wednesday 30 December 2026, last on Sunday 7 February 2027."
    )
    assert done["Water changed"] == "2 times, 40\u00a0L in all."
    assert "Looked at" not in done  # that was before the first day
    assert [(line.label, line.text) for line in story.animals] == [
        ("Thursday 23 July 2026", "10 harlequin rasbora came."),
        ("Thursday 23 July 2026", "6 peppered cory came."),
        ("Sunday 31 January 2027", "1 harlequin rasbora died."),
    ]
    # as pupils know it
    assert story.here == "9 harlequin rasbora and 6 peppered cory"
    assert [line.text for line in story.measured] == ["23.5 to 25.5\u00a0°C, 2 readings"]
    assert [quantity for quantity, _ in story.charts] == [Quantity.TEMPERATURE]
    assert not {"Otter", "Finch"} & set(str(story).split())
