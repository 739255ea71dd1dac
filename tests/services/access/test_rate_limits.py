"""Requests are counted in the record: for all processes, in windows that do not slide."""

from datetime import UTC, datetime, timedelta

from sqlalchemy import func, select

from app.services.access import rate_limits
from app.services.access.rate_limits import Limit
from app.storage.models.api import RequestCount
from tests.record import Record

LIMIT = Limit(most=3, seconds=60)
NOON = datetime(2027, 2, 8, 12, tzinfo=UTC)


def waits(record: Record, who: str, *at: float) -> list[int]:
    found = []
    for seconds in at:
        with record.database.writing() as session:
            moment = NOON + timedelta(seconds=seconds)
            found.append(rate_limits.count(session, who, LIMIT, now=moment))
    return found


def test_so_many_may_be_asked_in_a_window_and_then_one_waits(record: Record) -> None:
    assert waits(record, "one", 0, 1, 2, 2.5, 59.9) == [0, 0, 0, 58, 1]
    assert waits(record, "one", 60, 61) == [0, 0]


def test_everybody_is_counted_alone(record: Record) -> None:
    assert waits(record, "one", 0, 0, 0, 0) == [0, 0, 0, 60]
    assert waits(record, "other", 0) == [0]


def test_windows_that_are_over_are_forgotten(record: Record) -> None:
    waits(record, "one", 0, 30, 61, 200)
    with record.database.reading() as session:
        assert session.scalar(select(func.count(RequestCount.who))) == 1


def test_a_window_that_another_process_began_is_gone_on_with(record: Record) -> None:
    """Between the question and the insert somebody else may have inserted it."""
    with record.database.writing() as session:
        session.add(RequestCount(who="one", starts_at=NOON, count=2))
        session.commit()
        rate_limits._first(session, "one", NOON)
        session.commit()
    assert waits(record, "one", 1) == [59]
