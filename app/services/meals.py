"""Feeding: the one entry that is read before the act."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.drafts import NewMeal
from app.domain.guard import NewReading
from app.domain.records import EntryKind
from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.rules.meal import fed_on, feed_question
from app.rules.model import Evaluation, MealState
from app.services import entries, tanks, tasks
from app.services.entries import Saved, Stamp
from app.storage.queries import entries as queries

_A_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class MealQuestion:
    """Asked before a second meal, or one on a day without food. Nothing is stored yet.

    `second` says that a meal stands written for that day.
    """

    text: str
    second: bool


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What a page told before the act: at this revision nothing speaks against a meal.

    It holds from `since` to before `until`, as long as nothing else is written.
    """

    revision: int
    since: datetime
    until: datetime

    @classmethod
    def from_text(cls, text: str) -> "Foreseen | None":
        """What `as_text` wrote, or None where it is none."""
        try:
            revision, since, until = text.split()
            moments = [datetime.fromisoformat(each) for each in (since, until)]
            if any(each.tzinfo is None for each in moments):
                return None
            return cls(int(revision), *moments)
        except (ValueError, OverflowError):
            return None

    def as_text(self) -> str:
        """One line for a hidden field."""
        return f"{self.revision} {self.since.isoformat()} {self.until.isoformat()}"

    def holds(self, revision: int, moment: datetime) -> bool:
        """Whether a meal at a moment, in a record of this revision, needs no other look."""
        return self.revision == revision and self.since <= moment < self.until


def foreseen(snapshot: TankSnapshot, seen: Evaluation) -> Foreseen | None:
    """What a page may say of the next meal, or None where something has to be asked."""
    if seen.meal.state is not MealState.NOT_FED:
        return None
    return Foreseen(snapshot.revision, snapshot.as_of, seen.holds_until)


def record_meal(
    session: Session,
    stamp: Stamp,
    meal: NewMeal,
    readings: Sequence[NewReading] = (),
    *,
    again: bool = False,
    told: Foreseen | None = None,
    now: datetime,
) -> Saved | MealQuestion:
    """Write a meal down, or ask first; decided inside the one write transaction.

    Args:
        session: A writing session.
        stamp: Where, when and who.
        meal: What went in.
        readings: Readings of the same post, as the temperature.
        again: Somebody said that food really went in again.
        told: What the page said that the meal was typed on.
        now: The present moment.
    """
    entries.raise_revision(session, stamp.tank_id)
    before = entries.saved_before(session, stamp, meal, readings)
    if before is not None:
        session.rollback()
        return before
    question = None if again else _question(session, stamp, told, now)
    if question is not None:
        session.rollback()
        return question
    return entries.put(session, stamp, meal, readings, now=now)


def _question(
    session: Session, stamp: Stamp, told: Foreseen | None, now: datetime
) -> MealQuestion | None:
    # a meal written while the clock was ahead is food too
    ahead = queries.latest_at(session, stamp.tank_id, EntryKind.FEEDING, now, now + _A_DAY)
    if ahead is None and told is not None and stamp.happened_at == now:
        # this very write has already been counted
        revision = tanks.revision(session, stamp.tank_id) - 1
        if told.holds(revision, now):
            return None
    snapshot = tasks.snapshot_of(session, stamp.tank_id, now=now, as_of=ahead)
    text = feed_question(snapshot, stamp.happened_at, load())
    day = local_day(stamp.happened_at, snapshot.site.zone)
    return None if text is None else MealQuestion(text, bool(fed_on(snapshot, day)))
