"""A task put off, skipped or given away: with a reason, for a time, and kept afterwards."""

from datetime import datetime, timedelta

import pytest

from app.domain.errors import NotFound, Refused
from app.domain.marks import MarkKind, TaskMark
from app.services import marks, tanks
from tests.record import Record


def in_force(record: Record, now: datetime | None = None) -> tuple[TaskMark, ...]:
    with record.database.reading() as session:
        found = marks.marks_of(session, [record.tank_id, 99], now=now or record.now)
    assert found[99] == ()
    return found[record.tank_id]


def put_off(record: Record, reason: str = "Guests in the room", **more: int) -> int:
    with record.database.writing() as session:
        return marks.set_aside(
            session, record.tank_id, "water-change", record.now + timedelta(hours=20), reason,
            kind=MarkKind.LATER, author_id=record.adult.author_id, now=record.now, **more,
        )  # fmt: skip


def test_a_task_put_off_says_who_and_why_and_until_when(record: Record) -> None:
    put_off(record, severity=1)
    (mark,) = in_force(record)
    assert (mark.task_key, mark.kind, mark.severity) == ("water-change", MarkKind.LATER, 1)
    assert (mark.by, mark.reason) == ("Grown-up in charge", "Guests in the room")


def test_a_mark_ends_at_its_moment(record: Record) -> None:
    put_off(record)
    until = record.now + timedelta(hours=20)
    assert len(in_force(record, until - timedelta(seconds=1))) == 1
    assert in_force(record, until) == ()
    # nor did it count before it was made
    assert in_force(record, record.now - timedelta(seconds=1)) == ()


@pytest.mark.parametrize("reason", ["", "   "])
def test_without_a_reason_nothing_waits(record: Record, reason: str) -> None:
    with pytest.raises(Refused, match="why it can wait"):
        put_off(record, reason)
    with record.database.writing() as session, pytest.raises(Refused, match="why it can wait"):
        marks.set_aside(
            session, record.tank_id, "test", record.now + timedelta(days=7), reason,
            kind=MarkKind.SKIPPED, author_id=record.adult.author_id, now=record.now,
        )  # fmt: skip
    assert in_force(record) == ()


def test_an_emergency_cannot_wait(record: Record) -> None:
    with pytest.raises(Refused, match="cannot wait"):
        put_off(record, severity=3)
    put_off(record, severity=2)


def test_a_moment_that_is_past_is_refused(record: Record) -> None:
    with record.database.writing() as session, pytest.raises(Refused, match="still to come"):
        marks.set_aside(
            session, record.tank_id, "test", record.now, "later",
            kind=MarkKind.LATER, author_id=record.adult.author_id, now=record.now,
        )  # fmt: skip


def test_skipping_replaces_putting_off_and_both_stay_in_the_history(record: Record) -> None:
    put_off(record)
    record.pass_time(hours=1)
    with record.database.writing() as session:
        marks.set_aside(
            session, record.tank_id, "water-change", record.now + timedelta(days=6), "Holidays",
            kind=MarkKind.SKIPPED, author_id=record.adult.author_id, now=record.now,
        )  # fmt: skip
        past = marks.history(session, record.tank_id, "water-change")
        assert marks.history(session, record.tank_id, "test") == ()
    assert [m.kind for m in in_force(record)] == [MarkKind.SKIPPED]
    assert [(p.mark.kind, p.ended_at) for p in past] == [
        (MarkKind.SKIPPED, None), (MarkKind.LATER, record.now),
    ]  # fmt: skip


def test_a_task_belongs_to_one_and_may_be_put_off_as_well(record: Record) -> None:
    put_off(record)
    with record.database.writing() as session:
        for name in ("Otter", "Finch"):
            marks.assign(
                session, record.tank_id, "water-change", name,
                author_id=record.adult.author_id, now=record.now,
            )  # fmt: skip
        with pytest.raises(Refused, match="who does it"):
            marks.assign(
                session, record.tank_id, "test", " ",
                author_id=record.adult.author_id, now=record.now,
            )  # fmt: skip
    assert [(m.kind, m.to) for m in in_force(record)] == [
        (MarkKind.LATER, ""), (MarkKind.ASSIGNED, "Finch"),
    ]  # fmt: skip


def test_a_mark_taken_back_ends_and_is_kept(record: Record) -> None:
    mark_id = put_off(record)
    then = record.now
    record.pass_time(minutes=5)
    with record.database.writing() as session:
        before = tanks.revision(session, record.tank_id)
        for _ in range(2):
            marks.take_back(session, record.tank_id, mark_id, now=record.now)
        assert tanks.revision(session, record.tank_id) > before
        (past,) = marks.history(session, record.tank_id)
        with pytest.raises(NotFound):
            marks.take_back(session, record.tank_id, 99, now=record.now)
    assert in_force(record) == ()
    assert len(in_force(record, then)) == 1
    assert past.ended_at == record.now
