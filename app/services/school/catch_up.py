"""A week of paper typed in at once: all of it is saved, or nothing."""

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from app.domain.drafts import Draft, NewJob, NewLook, NewMeal, NewTest
from app.domain.errors import TokenReused
from app.domain.guard import NewReading
from app.knowledge.load import load
from app.rules.meal import feed_question
from app.services import entries, tasks
from app.services.entries import Saved, Stamp
from app.services.transaction import one_transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperDay:
    """One row of the grid: what stands on the paper of one local day, all at one moment.

    `done_by_id` is the author whose hands did it, None where nobody knows. `fed_again` says
    that food really went in, whatever speaks against it.
    """

    day: date
    happened_at: datetime
    done_by_id: int | None = None
    meal: NewMeal | None = None
    fed_again: bool = False
    temperature: tuple[NewReading, ...] = ()
    look: NewLook | None = None
    change: NewJob | None = None


@dataclass(frozen=True, slots=True)
class PaperQuestions:
    """What is asked about meals before anything is stored, by day."""

    by_day: dict[date, str]


_Written = tuple[Stamp, Draft, tuple[NewReading, ...]]


def record_days(
    session: Session,
    tank_id: int,
    token: str,
    days: Sequence[PaperDay],
    *,
    author_id: int,
    now: datetime,
) -> tuple[Saved, ...] | PaperQuestions:
    """Write all entries of a grid, or ask about its meals first and store nothing.

    The temperature goes with the meal of its row, else with the look, else it is a test of its
    own. The same grid sent twice is saved once.

    Args:
        session: A session that writes.
        tank_id: Which tank.
        token: The one-time token of the grid.
        days: Its rows with something in them.
        author_id: Who types it in.
        now: The present moment.

    Raises:
        NotFound: If there is no such tank.
        Refused: If a time lies ahead of the clock, or the tank is closed.
        TokenReused: If the grid was saved before with other values.
    """
    entries.raise_revision(session, tank_id)
    written = [found for day in days for found in _written(tank_id, token, day, author_id)]
    before = _before(session, written)
    if before:
        session.rollback()
        return before
    asked = _questions(session, tank_id, days, now=now)
    if asked:
        session.rollback()
        return PaperQuestions(asked)
    with one_transaction(session):
        return tuple(
            entries.record(session, stamp, draft, readings, now=now)
            for stamp, draft, readings in written
        )


def _before(session: Session, written: Sequence[_Written]) -> tuple[Saved, ...]:
    """What this grid saved before: all of its entries, or () if none."""
    known = [entries.saved_before(session, *each) for each in written]
    saved = tuple(each for each in known if each is not None)
    if saved and len(saved) < len(known):
        raise TokenReused(saved[0].entry_id)
    return saved


def _questions(
    session: Session, tank_id: int, days: Iterable[PaperDay], *, now: datetime
) -> dict[date, str]:
    open_days = [day for day in days if day.meal is not None and not day.fed_again]
    if not open_days:
        return {}
    snapshot, knowledge = tasks.snapshot_of(session, tank_id, now=now), load()
    found = ((each.day, feed_question(snapshot, each.happened_at, knowledge)) for each in open_days)
    return {day: question for day, question in found if question is not None}


def _written(tank_id: int, token: str, day: PaperDay, author_id: int) -> Iterator[_Written]:
    waiting = day.temperature
    for name, draft in (("meal", day.meal), ("look", day.look), ("change", day.change)):
        if draft is None:
            continue
        takes = () if name == "change" else waiting
        waiting = waiting if name == "change" else ()
        yield _stamp(tank_id, token, day, author_id, name), draft, takes
    if waiting:
        yield _stamp(tank_id, token, day, author_id, "test"), NewTest(), waiting


def _stamp(tank_id: int, token: str, day: PaperDay, author_id: int, name: str) -> Stamp:
    one = hashlib.sha256(f"{token}|{day.day}|{name}".encode()).hexdigest()
    return Stamp(
        tank_id=tank_id,
        token=one[:40],
        happened_at=day.happened_at,
        author_id=author_id,
        done_by_id=None if day.done_by_id == author_id else day.done_by_id,
    )
