"""What the database itself refuses, whoever writes to it."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError, StatementError

from app.storage.models.access import SignInTry
from tests.record import ONE_SCOOP, Record, new_record


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    made = new_record(tmp_path)
    yield made
    made.database.close()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET kind = 'party'",
        "UPDATE entry SET status = 'gone'",
        "UPDATE entry SET author_id = 999",
        "UPDATE feeding SET scoops = -1",
        "UPDATE feeding SET kind = 'job'",
        """INSERT INTO job (entry_id, kind, tank_id, happened_at, job, step, note)
        SELECT id, 'job', tank_id, happened_at, 'glass', '', '' FROM entry""",
        "UPDATE tank SET length_cm = 0",
        "INSERT INTO care_plan VALUES (1, '01234', 1, 0, 25, 7, 30)",
        "UPDATE stock_event SET count = -1",
    ],
)
def test_the_database_refuses_what_makes_no_sense(record: Record, statement: str) -> None:
    record.write(ONE_SCOOP)
    with record.database.writing() as session, pytest.raises(IntegrityError):
        session.execute(text(statement))


A_FORECAST = """INSERT INTO forecast (tank_id, quantity, revision, made_at, about_at, low, best,
    high, factor, last, model, version, inputs)
    VALUES (1, 'nitrate', 1, '2027-02-08T00:00:00.000000Z', {about}, {ends}, {factor}, 9, 'm', '1',
    '[]')"""
NEXT_DAY = "'2027-02-09T00:00:00.000000Z'"


@pytest.mark.parametrize(
    ("about", "ends", "factor"),
    [
        (NEXT_DAY, "10, 9, 12", 1),
        (NEXT_DAY, "8, 13, 12", 1),
        (NEXT_DAY, "8, 9, 12", 0.9),
        ("'2027-02-08T00:00:00.000000Z'", "8, 9, 12", 1),
    ],
)
def test_a_forecast_has_its_ends_in_order_and_lies_ahead(
    record: Record, about: str, ends: str, factor: float
) -> None:
    with record.database.writing() as session:
        session.execute(text(A_FORECAST.format(about=NEXT_DAY, ends="8, 9, 12", factor=1)))
        with pytest.raises(IntegrityError):
            session.execute(text(A_FORECAST.format(about=about, ends=ends, factor=factor)))


def test_a_tile_guesses_once_in_a_round(record: Record) -> None:
    opened = """INSERT INTO prediction_round (id, tank_id, quantity, unit, basis, opened_at,
        opened_by_id, token) VALUES (1, 1, 'ph', '', '', '2027-02-08T00:00:00.000000Z', 1, 'r')"""
    guessed = """INSERT INTO prediction (round_id, author_id, value, typed, at, token)
        VALUES (1, 1, 7, '7', '2027-02-08T00:00:00.000000Z', '{}')"""
    with record.database.writing() as session:
        session.execute(text(opened))
        session.execute(text(guessed.format("first")))
        with pytest.raises(IntegrityError):
            session.execute(text(guessed.format("second")))


def test_a_time_without_its_zone_is_refused(record: Record) -> None:
    naive = datetime(2027, 1, 1)  # that is the point
    with record.database.writing() as session:
        session.add(SignInTry(tried_at=naive))
        with pytest.raises(StatementError, match="needs its zone"):
            session.flush()


@pytest.mark.sqlite_only("switches of a connection")
@pytest.mark.parametrize(
    ("pragma", "value"),
    [("journal_mode", "wal"), ("foreign_keys", 1), ("synchronous", 2), ("secure_delete", 1)],
)
def test_every_connection_has_its_switches(record: Record, pragma: str, value: object) -> None:
    with record.database.reading() as session:
        assert session.execute(text(f"PRAGMA {pragma}")).scalar() == value
