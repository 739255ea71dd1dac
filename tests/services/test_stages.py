"""The stages of a growing filter: kept, told anew when dropped, and taken back with their cause."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from sqlalchemy import delete

from app.domain.drafts import NewTest
from app.domain.maturing import Stage, StageReached
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.services import board, entries, maturing, stages, tanks, tasks
from app.storage.models.evaluation import Evaluation
from tests.record import Record, reading

AMMONIA_UP = StageReached(Stage.AMMONIA_UP, date(2027, 2, 6))


@pytest.fixture
def young(record: Record) -> Record:
    """A new tank without animals, with four tests; the last one shows the first stage."""
    with record.database.writing() as session:
        facts = replace(tanks.tank(session, record.tank_id).facts, name="New", mature_on=None)
        record.tank_id = tanks.add_tank(session, facts)
    for days in (8, 6, 4, 2):
        measured(record, days)
    return record


def measured(record: Record, days: float, ammonia: float = 1.0) -> int:
    readings = (reading(Quantity.AMMONIA, ammonia), reading(Quantity.NITRITE, 0.0))
    return record.write(NewTest(), *readings, at=record.now - timedelta(days=days)).entry_id


def looked(record: Record) -> TankSnapshot:
    with record.database.reading() as session:
        return tasks.look(session, [record.tank_id], now=record.now)[record.tank_id][0]


def kept(record: Record) -> TankSnapshot:
    """Look as Today does, keep what was found, and look once more."""
    with record.database.reading() as session:
        snapshot, seen = tasks.look(session, [record.tank_id], now=record.now)[record.tank_id]
        fresh = maturing.to_keep(session, snapshot, seen)
    board.keep(record.database, fresh)
    return looked(record)


def test_a_stage_is_kept_with_its_first_day(young: Record) -> None:
    assert looked(young).stages == ()
    assert kept(young).stages == (AMMONIA_UP,)
    measured(young, 0)
    assert looked(young).stages == (AMMONIA_UP,)


def test_a_kept_stage_outlives_the_tests_that_a_page_reads(young: Record) -> None:
    kept(young)
    young.pass_time(days=400)
    assert kept(young).stages == (AMMONIA_UP,)


def test_dropped_stages_are_told_anew_from_all_tests(young: Record) -> None:
    kept(young)
    young.pass_time(days=400)
    with young.database.writing() as session:
        session.execute(delete(Evaluation))
        session.commit()
    snapshot = looked(young)
    assert snapshot.stages == ()
    with young.database.reading() as session:
        told = stages.recalled(session, [snapshot])[young.tank_id]
        seen = board.board(session, now=young.now)
    assert told.stages == (AMMONIA_UP,)
    board.keep(young.database, seen.fresh)
    assert looked(young).stages == (AMMONIA_UP,)


def test_taking_back_a_later_test_leaves_the_stage(young: Record) -> None:
    last = measured(young, 1, ammonia=0.0)
    assert kept(young).stages == (AMMONIA_UP,)
    with young.database.writing() as session:
        entries.withdraw(
            session, young.tank_id, last, visitor=young.adult, reason="undone", now=young.now
        )
    assert kept(young).stages == (AMMONIA_UP,)


def test_a_stage_goes_with_the_test_that_showed_it(young: Record) -> None:
    assert kept(young).stages == (AMMONIA_UP,)
    with young.database.writing() as session:
        newest = tasks.snapshot_of(session, young.tank_id, now=young.now).readings[-1].entry_id
        entries.withdraw(
            session, young.tank_id, newest, visitor=young.adult, reason="undone", now=young.now
        )
    assert looked(young).stages == ()
    assert kept(young).stages == ()


def test_a_test_written_afterwards_moves_the_first_day(young: Record) -> None:
    assert kept(young).stages == (AMMONIA_UP,)
    measured(young, 5)
    assert kept(young).stages == (StageReached(Stage.AMMONIA_UP, date(2027, 2, 4)),)
