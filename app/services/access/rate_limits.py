"""How often somebody may ask: counted in the record, so that it holds for all processes."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import ceil

from sqlalchemy import delete, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from app.services.transaction import finish
from app.storage.models.api import RequestCount


@dataclass(frozen=True, slots=True)
class Limit:
    """So many requests within each window of so many seconds; windows do not slide."""

    most: int
    seconds: int

    def window(self, moment: datetime) -> datetime:
        """The beginning of the window in which a moment lies."""
        begun = int(moment.timestamp()) // self.seconds * self.seconds
        return datetime.fromtimestamp(begun, UTC)


def count(session: Session, who: str, limit: Limit, *, now: datetime) -> int:
    """Count one more request of somebody.

    Args:
        session: A session that writes.
        who: Who asks, up to 80 characters.
        limit: How often they may.
        now: The present moment.

    Returns:
        The seconds after which they may ask again: 0 if this request is one of those they may.
    """
    begun = limit.window(now)
    if not _one_more(session, who, begun):
        # of windows that are over nothing is asked any more
        session.execute(
            delete(RequestCount).where(RequestCount.who == who, RequestCount.starts_at < begun)
        )
        _first(session, who, begun)
    counted = session.scalar(
        select(RequestCount.count).where(RequestCount.who == who, RequestCount.starts_at == begun)
    )
    finish(session)
    if (counted or 0) <= limit.most:
        return 0
    left = begun + timedelta(seconds=limit.seconds) - now
    return max(1, ceil(left.total_seconds()))


def _first(session: Session, who: str, begun: datetime) -> None:
    """Begin a window, unless another process did so meanwhile."""
    try:
        with session.begin_nested():
            session.add(RequestCount(who=who, starts_at=begun, count=1))
    except IntegrityError:
        _one_more(session, who, begun)


def _one_more(session: Session, who: str, begun: datetime) -> bool:
    done = session.execute(
        update(RequestCount)
        .where(RequestCount.who == who, RequestCount.starts_at == begun)
        .values(count=RequestCount.count + 1)
        .execution_options(synchronize_session=False)
        .returning(RequestCount.count)
    )
    return done.first() is not None
