"""From rows to snapshots: what is in them, and that more tanks cost no more statements."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import event

from app.domain.drafts import NewJob, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind, TankShape
from app.services import tanks
from app.storage import snapshot
from app.storage.engine import Database
from tests.record import ALL_FINE, ONE_SCOOP, Record, new_record, reading


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    made = new_record(tmp_path)
    yield made
    made.database.close()


class Statements:
    """Counts the statements that reach a database."""

    def __init__(self, database: Database) -> None:
        self.count = 0
        event.listen(database.engine, "before_cursor_execute", self._seen)

    def _seen(self, *_: object) -> None:
        self.count += 1


def test_more_tanks_cost_no_more_statements(record: Record) -> None:
    with record.database.writing() as session:
        ids = [record.tank_id] + [
            tanks.add_tank(
                session,
                tanks.TankDraft(name=f"T{n}", shape=TankShape(length_cm=60, width_cm=30)),
            )
            for n in range(20)
        ]
    statements = Statements(record.database)
    with record.database.reading() as session:
        snapshot.load(session, ids[:1], record.now)
        one = statements.count
        snapshot.load(session, ids, record.now)
    # quality bar: 12 at the most, BEGIN not counted
    assert one <= 13
    assert statements.count - one <= one


def test_the_last_filter_rinse_is_there_however_old_it_is(record: Record) -> None:
    long_ago = record.now - timedelta(days=150)
    record.write(NewJob(job=JobKind.FILTER_RINSE), at=long_ago)
    record.write(NewJob(job=JobKind.GLASS), at=long_ago)

    with record.database.reading() as session:
        found = snapshot.load(session, [record.tank_id], record.now)[0]

    assert [job.job for job in found.jobs] == [JobKind.FILTER_RINSE]


def test_the_last_eight_readings_are_there_however_old_they_are(record: Record) -> None:
    for month in range(1, 11):
        record.write(
            NewTest(),
            reading(Quantity.GH, float(month)),
            at=record.now - timedelta(days=190 - month),
        )

    with record.database.reading() as session:
        found = snapshot.load(session, [record.tank_id], record.now)[0]

    assert [r.value for r in found.of(Quantity.GH)] == [3, 4, 5, 6, 7, 8, 9, 10]


def test_nothing_later_than_the_moment_is_seen(record: Record) -> None:
    record.write(ONE_SCOOP)
    record.write(ALL_FINE, at=record.now - timedelta(hours=3))

    with record.database.reading() as session:
        earlier = record.now - timedelta(hours=1)
        found = snapshot.load(session, [record.tank_id], earlier)[0]

    assert found.feedings == ()
    assert len(found.observations) == 1
    assert found.expected_fish == 16


def test_three_readers_of_one_tube_give_the_middle_and_the_range(record: Record) -> None:
    record.write(
        NewTest(),
        *(
            reading(Quantity.NITRATE, value, reader=name)
            for value, name in ((10, "Finch"), (20, "Moss"), (20, "Otter"))
        ),
    )

    with record.database.reading() as session:
        found = snapshot.load(session, [record.tank_id], record.now)[0].latest(Quantity.NITRATE)

    assert found is not None
    assert (found.value, found.low, found.high, found.readers) == (20, 10, 20, 3)
