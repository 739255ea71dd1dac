"""The life of a group: tables every 30 days, what is watched, what belongs to which batch."""

from datetime import timedelta
from typing import Any

import pytest

from app.domain.livestock import Batch, StockGroup
from app.domain.records import StockEventKind
from app.knowledge.load import load
from app.services.livestock.life import GroupLife, LifeRow, lives, watched
from tests.situations import SHOAL, at, snapshot, stock

BEGAN, NOW = "2026-01-01 10:00", "2026-03-12 10:00"
MAY, JUNE = Batch(id=1, group_id=1, label="May"), Batch(id=2, group_id=1, label="June")
CAME, DIED = StockEventKind.ARRIVED, StockEventKind.DIED


def life(*events: Any, now: str = NOW, batches: tuple[Batch, ...] = ()) -> GroupLife:
    """The life of the first group."""
    return lives(snapshot(now, *events, batches=batches), load())[0]


def test_a_table_has_a_row_every_30_days_and_one_of_now() -> None:
    rows = life(stock(CAME, BEGAN, 8), stock(DIED, "2026-01-31 09:00", 2)).tables[0].rows
    assert [r.days for r in rows] == [0, 30, 60, 70]
    assert [r.here for r in rows] == [8, 6, 6, 6]


def test_a_loss_counts_from_its_own_day_on() -> None:
    died = stock(DIED, "2026-02-01 09:00", 1)  # day 31
    rows = life(stock(CAME, BEGAN, 8), died).tables[0].rows
    assert [r.lost for r in rows] == [0, 0, 1, 1]


def test_what_left_is_not_lost_and_what_was_found_is_back() -> None:
    row = (
        life(
            stock(CAME, BEGAN, 8),
            stock(StockEventKind.MISSING, "2026-01-05 09:00", 2),
            stock(StockEventKind.FOUND, "2026-01-06 09:00", 1),
            stock(StockEventKind.LEFT, "2026-01-07 09:00", 3),
            stock(StockEventKind.BORN, "2026-01-08 09:00", 5),
        )
        .tables[0]
        .rows[-1]
    )
    assert row == LifeRow(days=70, here=9, lost=1, gone=3)


def test_two_batches_have_a_table_each_and_a_nameless_loss_is_in_neither() -> None:
    found = life(
        stock(CAME, BEGAN, 4, batch_id=1),
        stock(CAME, "2026-02-01 10:00", 6, batch_id=2),
        stock(DIED, "2026-02-10 10:00", 1, batch_id=2),
        stock(DIED, "2026-02-11 10:00", 2),
        batches=(MAY, JUNE),
    )
    assert [(t.label, t.came, t.rows[-1].here) for t in found.tables] == [
        ("May", 4, 4),
        ("June", 6, 5),
    ]
    assert found.unplaced == 2


def test_with_one_batch_every_loss_is_its_own() -> None:
    found = life(
        stock(CAME, BEGAN, 4, batch_id=1), stock(DIED, "2026-02-11 10:00", 1), batches=(MAY,)
    )
    assert (found.tables[0].rows[-1].here, found.unplaced) == (3, 0)


def test_an_old_batch_keeps_a_short_table() -> None:
    rows = life(stock(CAME, "2016-01-01 10:00", 4)).tables[0].rows
    assert len(rows) <= 27
    assert all(row.days % 30 == 0 for row in rows[:-1])


def test_a_group_of_which_nothing_is_written() -> None:
    found = life()
    assert (found.since, found.tables, found.events) == (None, (), ())


@pytest.mark.parametrize(
    ("days", "apart", "runs"),
    [(20, None, True), (21, None, False), (0, 20, True), (0, 21, False)],
)
def test_new_animals_are_watched_for_21_days(days: int, apart: int | None, runs: bool) -> None:
    came = at(NOW) - timedelta(days=days)
    first = stock(CAME, "2025-09-01 10:00", 4)
    seen = snapshot(NOW, first, stock(CAME, came, 3, apart_days=apart), groups=SHOAL)
    assert bool(watched(seen, load())) is runs
    if runs:
        assert watched(seen, load())[0].watch_until == (came + timedelta(days=21)).date()


def test_each_group_has_its_own_events() -> None:
    groups = (StockGroup(id=1, name="A", count=1), StockGroup(id=2, name="B", count=1))
    seen = snapshot(NOW, stock(CAME, BEGAN, 1), stock(CAME, BEGAN, 1, group_id=2), groups=groups)
    assert [len(x.events) for x in lives(seen, load())] == [1, 1]
