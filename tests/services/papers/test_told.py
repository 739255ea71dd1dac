"""Incident report and story of the year: facts without people, losses only when told."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.domain.drafts import NewJob, NewLook, NewStockEvent, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign, StockEventKind
from app.services import entries
from app.services.papers.incident import facts, names_in
from app.services.papers.year import in_short, year_story
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, ZONE, Record, reading
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
    assert story.sentences == (
        "We fed the animals on 3 days.",  # and did not look: that was before the first day
        "We tested the water on 2 days.",
        "We changed water 2 times, 40\u00a0L in all.",
        "The water was 23.5 to 25.5\u00a0°C warm.",
    )
    assert [(line.label, line.text) for line in story.animals] == [
        ("Thursday 23 July 2026", "10 harlequin rasbora came."),
        ("Thursday 23 July 2026", "6 peppered cory came."),
        ("Sunday 31 January 2027", "1 harlequin rasbora died."),
    ]
    # as pupils know it
    assert story.here == "9 harlequin rasbora and 6 peppered cory"
    assert [line.text for line in story.measured] == ["23.5 to 25.5\u00a0°C"]
    assert [heading for heading, _ in story.charts] == ["How warm the water was"]
    assert not {"Otter", "Finch"} & set(str(story).split())


def test_the_chart_of_a_story_begins_with_its_first_day(record: Record, seen: Look) -> None:
    # on 1 January one reading before the hour of the print, one after it; one the evening before
    for day, hour, warm in ((-1, 23, 20.0), (0, 6, 23.0), (0, 22, 24.0), (20, 12, 25.0)):
        when = datetime(2027, 1, 1, hour, tzinfo=ZoneInfo(ZONE)) + day * DAY
        record.write(NewTest(), reading(Quantity.TEMPERATURE, warm), at=when)
    with record.database.reading() as session:
        story = year_story(session, seen(), date(2027, 1, 1))
    ((_, chart),) = story.charts
    assert chart.series.count == 3
    assert [line.text for line in story.measured] == ["23.0 to 25.0\u00a0°C"]
    assert {point.value for point in chart.series.points} == {23.0, 24.0, 25.0}
    # a look back tells nothing of what will be
    assert chart.series.ahead == ()


def test_much_water_is_told_in_tanks(record: Record, seen: Look) -> None:
    change = NewJob(job=JobKind.WATER_CHANGE, liters_out=20.0)
    for ago in range(1, 14):
        record.write(change, at=MONDAY - ago * DAY)
    record.write(NewJob(job=JobKind.GLASS))
    with record.database.reading() as session:
        story = year_story(session, seen(), date(2027, 1, 1))
    # 13 times 20 L are 260 L; the tank holds 85 L
    assert story.sentences == (
        "We changed water 13 times, 260\u00a0L in all: as much as the tank holds 3 times.",
        "We also wiped the glass.",
    )


@pytest.mark.parametrize(
    ("finding", "told"),
    [
        ("It is going up: no single value fits all 32 card readings.", "It is going up."),
        ("The last reading was 24.3 °C; 4 of 459 were outside.", "The last reading was 24.3 °C."),
        ("Can’t tell yet whether it rises.", "Can’t tell yet whether it rises."),
    ],
)
def test_a_family_reads_what_a_chart_found_without_the_proof(finding: str, told: str) -> None:
    assert in_short(finding) == told
