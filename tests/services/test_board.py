"""All tanks at a glance: kept lines count only as long as they would be worked out the same."""

from datetime import timedelta

import pytest
from sqlalchemy import delete

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.rules.model import State
from app.services import board
from app.services.board import Board
from app.storage.models.evaluation import Evaluation
from tests.record import ALL_FINE, ONE_SCOOP, Record, reading


def seen(record: Record) -> Board:
    with record.database.reading() as session:
        return board.board(session, now=record.now)


def looked_and_kept(record: Record) -> Board:
    found = seen(record)
    board.keep(record.database, found.fresh)
    return found


def test_what_was_kept_is_not_worked_out_again(record: Record) -> None:
    record.write(ALL_FINE)
    first = looked_and_kept(record)
    second = seen(record)
    assert len(first.fresh) == 1
    assert second.fresh == ()
    assert second.lines == first.lines


def test_an_entry_makes_the_kept_line_void(record: Record) -> None:
    record.write(ALL_FINE)
    before = looked_and_kept(record)
    record.write(NewTest(), reading(Quantity.NITRITE, 1.5))
    after = seen(record)
    assert before.lines[0].state is not State.ACT_NOW
    assert after.lines[0].state is State.ACT_NOW
    assert len(after.fresh) == 1


def test_time_alone_makes_the_kept_line_void_at_its_moment(record: Record) -> None:
    record.write(ALL_FINE)
    kept = looked_and_kept(record).fresh[0]
    record.now = kept.holds_until - timedelta(seconds=1)
    assert seen(record).fresh == ()
    record.now = kept.holds_until
    assert len(seen(record).fresh) == 1


def test_a_look_from_before_it_was_kept_is_worked_out(record: Record) -> None:
    looked_and_kept(record)
    record.now -= timedelta(minutes=1)
    assert len(seen(record).fresh) == 1


def test_other_rules_make_the_kept_line_void(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked_and_kept(record)
    monkeypatch.setattr(board, "version", lambda: "another")
    assert len(seen(record).fresh) == 1


def test_dropping_what_was_kept_loses_nothing(record: Record) -> None:
    record.write(ONE_SCOOP)
    before = looked_and_kept(record)
    with record.database.writing() as session:
        session.execute(delete(Evaluation))
        session.commit()
    assert seen(record).lines == before.lines


def test_while_somebody_writes_nothing_is_kept_and_nobody_waits(record: Record) -> None:
    found = seen(record)
    with record.database.writing():
        board.keep(record.database, found.fresh)
    assert len(seen(record).fresh) == 1


def test_what_changed_meanwhile_is_not_kept(record: Record) -> None:
    found = seen(record)
    record.write(ALL_FINE)
    board.keep(record.database, found.fresh)
    assert len(seen(record).fresh) == 1


def test_what_is_kept_of_a_double_meal_does_not_tell_whose_hands_it_was(record: Record) -> None:
    """Kept by a keeper, it is read by a technician too, who is told no nickname."""
    record.write(ALL_FINE, by=record.finch)
    record.write(ONE_SCOOP, by=record.otter)
    record.pass_time(minutes=3)
    record.write(ONE_SCOOP, by=record.finch)
    (kept,) = looked_and_kept(record).fresh
    assert "Food went in twice: 8:41, 1 scoop and 8:44, 1 scoop." in kept.state_line
    assert not any(name in f"{kept}" for name in ("Otter", "Finch"))
