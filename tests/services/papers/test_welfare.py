"""The welfare record: evidence where there is some, gaps where nothing is written."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.drafts import NewJob, NewLook, NewStockEvent, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign, StockEventKind
from app.knowledge.load import load
from app.services import absences, entries, tanks
from app.services.livestock import animals
from app.services.papers.welfare import Need, WelfareRecord, welfare_record
from app.services.school import school_days
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, reading
from tests.services.papers.conftest import Look

Made = Callable[..., WelfareRecord]


@pytest.fixture
def made(record: Record, seen: Look) -> Made:
    def make(**texts: str) -> WelfareRecord:
        with record.database.reading() as session:
            return welfare_record(session, seen(), load(), texts)

    return make


def need(record: WelfareRecord, title: str) -> Need:
    return next(n for n in record.needs if n.title == title)


def evidence(of: Need) -> dict[str, str]:
    return {line.label: line.text for line in of.evidence}


def test_an_empty_month_is_full_of_gaps_and_claims_nothing(made: Made) -> None:
    found = made()
    assert (found.first, found.last) == (date(2027, 1, 10), date(2027, 2, 8))
    environment = need(found, "Environment")
    assert "No temperature is written in the 30 days of this record." in environment.gaps
    assert "Ammonia (total): never tested." in environment.gaps
    # 4 weeks of 5 school days before this Monday
    diet = need(found, "Diet")
    assert evidence(diet)["Fed"] == "on 0 of 20 planned days"
    assert any(gap.startswith("No meal is written for 20 planned days") for gap in diet.gaps)
    harm = need(found, "Protection from harm")
    assert "On 20 such days no look is written." in harm.gaps
    assert "Test button of the outlet pressed: never written." in harm.gaps
    assert "Grown-up in charge: nobody is named." in found.people_gaps
    assert "Last contact with a veterinarian: not written." in found.people_gaps
    assert "Holiday cover: no coming break is written." in found.people_gaps
    assert found.gaps >= 15


def test_what_is_written_is_evidence(record: Record, made: Made) -> None:
    for ago in range(1, 29):
        at = MONDAY - timedelta(days=ago)
        if at.weekday() < 5:
            record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.0 + ago / 100), at=at)
            record.write(ALL_FINE, at=at)
    for quantity, value in ((Quantity.AMMONIA, 0.0), (Quantity.PH, 7.2)):
        record.write(NewTest(), reading(quantity, value), at=MONDAY - timedelta(days=3))
    record.write_checks(MONDAY - timedelta(days=5))
    found = made(vet_contact="3 March 2027, by phone")
    environment = need(found, "Environment")
    assert evidence(environment)["Temperature"] == "24.0 to 24.3\u00a0°C, 20 readings on 20 days"
    assert evidence(environment)["pH"] == "7.2, on Friday 5 February 2027"
    assert not [gap for gap in environment.gaps if "emperature" in gap or "Ammonia" in gap]
    assert need(found, "Diet").against == ()
    assert evidence(need(found, "Diet"))["Fed"] == "on 20 of 20 planned days"
    harm = evidence(need(found, "Protection from harm"))
    assert harm["Looked at"] == "on 20 of 20 days on which somebody was meant to come"
    assert harm["Heater, filter and cords checked"] == "last on Wednesday 3 February 2027"
    assert "3 March 2027, by phone" in [line.text for line in found.people]


def test_what_speaks_against_a_need_is_named(record: Record, seen: Look, made: Made) -> None:
    group = seen().groups[0]
    record.write(ONE_SCOOP)
    record.write(ONE_SCOOP)
    record.write(NewLook(signs=(Sign.GASPING,)))
    record.write(NewTest(), reading(Quantity.TEMPERATURE, 31.0), reading(Quantity.NITRITE, 1.0))
    # an official record holds what pupils were not told of yet
    loss = NewStockEvent(what=StockEventKind.DIED, group_id=group.id, count=1, hidden=True)
    record.write(loss)
    found = made()
    assert "More than one meal a day: 1 time." in need(found, "Diet").against
    assert set(need(found, "Environment").against) == {
        "Temperature outside our range: 1 of 1 readings.",
        "Nitrite was outside our range at the last test.",
    }
    assert set(need(found, "Protection from harm").against) == {
        "Monday 8 February 2027: 1 harlequin rasbora died.",
        "Monday 8 February 2027: gasping at the surface.",
    }


def test_a_break_is_covered_only_when_somebody_is_named(
    record: Record, seen: Look, made: Made
) -> None:
    with record.database.writing() as session:
        facts = replace(seen().tank.facts, adult="Ms. Ruiz", deputy="Mr. Oyelaran")
        tanks.change_tank(session, record.tank_id, facts)
        school_days.add(
            session, seen().site.id, date(2027, 2, 15), date(2027, 2, 19), "Winter break"
        )
    words = "Winter break, Monday 15 February 2027 to Friday 19 February 2027"
    assert f"Holiday cover: nobody is named for {words}." in made().people_gaps
    with record.database.writing() as session:
        away = seen().site.breaks[0]
        absences.arrange(session, record.stamp(), away, "Mr. Oyelaran, daily", now=MONDAY)
    found = made()
    assert {line.label: line.text for line in found.people} == {
        "Grown-up in charge": "Ms. Ruiz",
        "Deputy": "Mr. Oyelaran",
        f"Cover, {words}": "Mr. Oyelaran, daily",
    }


def test_corrections_are_counted_and_no_helper_is_named(record: Record, made: Made) -> None:
    entry = record.write(ONE_SCOOP, by=record.otter)
    with record.database.writing() as session:
        entries.withdraw(
            session, record.tank_id, entry.entry_id, visitor=record.adult, now=record.now
        )
    record.write(NewJob(job=JobKind.GLASS, note="Otter helped"), by=record.otter)
    found = made()
    assert (found.corrected, found.taken_back) == (0, 1)
    assert "Otter" not in str(found)


def test_each_animal_has_one_name_in_the_whole_record(record: Record, made: Made) -> None:
    with record.database.writing() as session:
        group = animals.add_group(
            session, 1, "noodle loach", "bottom", 9.0, species="Pangio semicincta"
        )
    record.write(NewStockEvent(what=StockEventKind.ARRIVED, group_id=group, count=2))
    found = made()
    behavior = evidence(need(found, "Behavior of their own kind"))
    # the one name that the entries use; what the animal is stands beside it once
    assert behavior["noodle loach"] == "2, Pangio semicincta, grows to 9\u00a0cm"
    assert "noodle loach" in behavior["Animals at the bottom"]
    company = need(found, "Company")
    assert any("noodle loach" in text for text in company.against)
    assert any("2 noodle loach came" in gap for gap in need(found, "Protection from harm").gaps)
    assert "kuhli" not in str(found).casefold()
