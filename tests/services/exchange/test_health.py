"""The data health note counts what a reader has to know before they trust a line."""

import csv
from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from app.domain.drafts import NewTest
from app.domain.errors import NotFound
from app.domain.kit import KitFacts
from app.domain.quantities import Quantity
from app.services import entries, kits
from app.services.exchange import health, stretch
from app.services.exchange.health import HealthNote
from app.services.sites import FIRST
from tests.record import Record, reading


def notes(record: Record, asked: stretch.Stretch = stretch.ALL) -> dict[Quantity, HealthNote]:
    with record.database.reading() as session:
        return {n.quantity: n for n in health.notes(session, record.tank_id, asked)}


def card(session: Session) -> int:
    facts = KitFacts(
        quantity=Quantity.NITRATE, name="Card", unit="mg/L", basis="as nitrate",
        steps=(0.0, 10.0, 20.0, 40.0),
    )  # fmt: skip
    return kits.add_kit(session, FIRST, facts)


def test_days_readings_gaps_and_steps_are_counted(record: Record) -> None:
    with record.database.writing() as session:
        kit = card(session)
    for days in (30, 29, 20, 0):
        at = record.now - timedelta(days=days)
        seen = replace(reading(Quantity.NITRATE, 10, low=0.0, high=20.0), kit_id=kit)
        record.write(NewTest(), seen, at=at)
    record.write(NewTest(), replace(reading(Quantity.NITRATE, 40, low=20.0), kit_id=kit))
    note = notes(record)[Quantity.NITRATE]
    assert (note.days, note.days_with, note.readings, note.added_later) == (31, 4, 5, 3)
    # without a reading: 0, 8 and 19 days; twice the middle one is a gap
    assert (note.gaps, note.longest_gap) == (1, 19)
    assert note.open_ended == 1
    assert note.steps == ("10 mg/L", "20 mg/L")
    assert note.text == (
        "31 days, 5 readings on 4 days, 3 added later, 1 without an upper end, "
        "1 gap, the longest 19 days, card steps of 10 mg/L and 20 mg/L"
    )


def test_weekly_tests_have_a_gap_only_where_one_is_lacking(record: Record) -> None:
    for days in (28, 21, 7, 0):
        record.write(NewTest(), reading(Quantity.PH, 7), at=record.now - timedelta(days=days))
    note = notes(record)[Quantity.PH]
    assert (note.gaps, note.longest_gap) == (1, 13)


def test_a_weekend_is_no_gap(record: Record) -> None:
    for days in (3, 0):
        record.write(NewTest(), reading(Quantity.PH, 7), at=record.now - timedelta(days=days))
    assert notes(record)[Quantity.PH].gaps == 0


def test_what_was_fixed_or_taken_back_is_counted_and_does_not_count(record: Record) -> None:
    wrong = record.write(NewTest(), reading(Quantity.PH, 8.8))
    with record.database.writing() as session:
        entries.correct(
            session, record.stamp(), wrong.entry_id, NewTest(), [reading(Quantity.PH, 6.8)],
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
    back = record.write(NewTest(), reading(Quantity.PH, 9))
    with record.database.writing() as session:
        entries.withdraw(
            session, record.tank_id, back.entry_id, visitor=record.adult, now=record.now
        )
    note = notes(record)[Quantity.PH]
    assert (note.readings, note.corrected, note.withdrawn) == (1, 1, 1)
    assert note.text == "1 day, 1 reading on 1 day, 1 corrected, 1 taken back"


def test_only_the_days_that_were_asked_for_are_told(record: Record) -> None:
    for days in (40, 2):
        record.write(NewTest(), reading(Quantity.PH, 7), at=record.now - timedelta(days=days))
    first = record.now.date() - timedelta(days=health.usual_days() // 3)
    asked = stretch.days("UTC", first=first, last=None)
    assert notes(record, asked)[Quantity.PH].readings == 1
    assert notes(record, replace(asked, quantity=Quantity.KH)) == {}


def test_the_note_is_a_file_too(record: Record) -> None:
    record.write(NewTest(), reading(Quantity.PH, 7))
    (row,) = csv.DictReader(health.notes_csv(notes(record).values()))
    assert (row["quantity"], row["readings"], row["first_day"]) == ("ph", "1", "2027-02-08")
    with pytest.raises(NotFound), record.database.reading() as session:
        health.notes(session, 99, stretch.ALL)
