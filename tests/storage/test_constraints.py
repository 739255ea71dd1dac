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


def test_a_time_without_its_zone_is_refused(record: Record) -> None:
    naive = datetime(2027, 1, 1)  # that is the point
    with record.database.writing() as session:
        session.add(SignInTry(tried_at=naive))
        with pytest.raises(StatementError, match="needs its zone"):
            session.flush()


@pytest.mark.parametrize(
    ("pragma", "value"),
    [("journal_mode", "wal"), ("foreign_keys", 1), ("synchronous", 2), ("secure_delete", 1)],
)
def test_every_connection_has_its_switches(record: Record, pragma: str, value: object) -> None:
    with record.database.reading() as session:
        assert session.execute(text(f"PRAGMA {pragma}")).scalar() == value
