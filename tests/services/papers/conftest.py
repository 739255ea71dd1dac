"""What a paper is made from: the tank as it is now, and all that is known."""

from collections.abc import Callable

import pytest

from app.domain.snapshot import TankSnapshot
from app.services import tasks
from tests.record import Record


@pytest.fixture
def seen(record: Record) -> Callable[[], TankSnapshot]:
    """Look at the tank as its record stands."""

    def look() -> TankSnapshot:
        with record.database.reading() as session:
            return tasks.snapshot_of(session, record.tank_id, now=record.now)

    return look


Look = Callable[[], TankSnapshot]
