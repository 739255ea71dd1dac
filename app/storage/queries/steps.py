"""Steps of starting or closing a tank that were ticked off."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from app.domain.records import EntryStatus, JobKind
from app.storage.models.access import Author
from app.storage.models.entry import Entry
from app.storage.models.maintenance import Job


@dataclass(frozen=True, slots=True)
class Tick:
    """A step that was ticked off: its entry, when, by whose hands, and the note."""

    entry_id: int
    at: datetime
    by: str
    note: str


def ticks(session: Session, tank_id: int) -> dict[str, Tick]:
    """The last tick of each step of a tank that counts, however old, by the step's key."""
    hands = aliased(Author)
    query = (
        select(
            Job.step, Entry.id, Job.happened_at, func.coalesce(hands.shown, Author.shown), Job.note
        )
        .join(Entry, Entry.id == Job.entry_id)
        .join(Author, Author.id == Entry.author_id)
        .outerjoin(hands, hands.id == Entry.done_by_id)
        .where(
            Job.tank_id == tank_id,
            Job.job == JobKind.STEP.value,
            Entry.status == EntryStatus.OK.value,
        )
        .order_by(Job.happened_at, Job.entry_id)
    )
    return {row[0]: Tick(row[1], row[2], row[3], row[4]) for row in session.execute(query)}
