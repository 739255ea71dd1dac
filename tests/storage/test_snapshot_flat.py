"""A snapshot takes as much work after years as after months: every way in has its index."""

from collections.abc import Callable
from pathlib import Path

import pytest

from app.storage import snapshot
from app.storage.engine import Database
from tests.bench.pictures import logged
from tests.bench.years import NOW, filled

pytestmark = pytest.mark.sqlite_only("it counts SQLite's own steps")

# steps of SQLite's own machine between two calls: small beside a snapshot's tens of thousands
EVERY = 100


def steps(database: Database) -> int:
    """How many hundreds of steps SQLite takes for a snapshot."""
    taken = 0

    def count() -> int:
        nonlocal taken
        taken += 1
        return 0

    with database.reading() as session:
        connection = session.connection().connection.driver_connection
        assert connection is not None
        connection.set_progress_handler(count, EVERY)
        snapshot.load(session, [1], NOW)
        connection.set_progress_handler(None, 0)
    return taken


def days_of_a_logger(folder: Path, days: int) -> Database:
    """A logger every 15 minutes, and nobody else."""
    return logged(folder, days)


def days_of_people(folder: Path, days: int) -> Database:
    """Meals, tests, water changes as people write them down."""
    return filled(folder, tank_count=2, years=days / 365)


@pytest.mark.parametrize(("days_of", "days"), [(days_of_a_logger, 40), (days_of_people, 480)])
def test_the_work_does_not_grow_with_the_years(
    tmp_path: Path, days_of: Callable[[Path, int], Database], days: int
) -> None:
    short, long = (days_of(tmp_path / f"{each}", each) for each in (days, 3 * days))
    assert steps(long) < 1.2 * steps(short)
    short.close()
    long.close()
