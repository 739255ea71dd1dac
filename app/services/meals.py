"""Feeding: the one entry that is read before the act."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from app.domain.drafts import NewMeal
from app.domain.guard import NewReading
from app.domain.records import EntryKind
from app.knowledge.load import load
from app.rules.meal import feed_question
from app.services import entries, tasks
from app.services.entries import Saved, Stamp
from app.storage.queries import entries as queries

_A_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class MealQuestion:
    """Asked before a second meal, or one on a day without food. Nothing is stored yet."""

    text: str


def record_meal(
    session: Session,
    stamp: Stamp,
    meal: NewMeal,
    readings: Sequence[NewReading] = (),
    *,
    again: bool = False,
    now: datetime,
) -> Saved | MealQuestion:
    """Write a meal down, or ask first; decided inside the one write transaction.

    Args:
        session: A writing session.
        stamp: Where, when and who.
        meal: What went in.
        readings: Readings of the same post, as the temperature.
        again: Somebody said that food really went in again.
        now: The present moment.
    """
    entries.raise_revision(session, stamp.tank_id)
    before = entries.saved_before(session, stamp, meal, readings)
    if before is None and not again:
        # a meal written while the clock was ahead is food too
        ahead = queries.latest_at(session, stamp.tank_id, EntryKind.FEEDING, now, now + _A_DAY)
        snapshot = tasks.snapshot_of(session, stamp.tank_id, now=now, as_of=ahead)
        question = feed_question(snapshot, stamp.happened_at, load())
        if question is not None:
            session.rollback()
            return MealQuestion(question)
    return entries.record(session, stamp, meal, readings, now=now)
