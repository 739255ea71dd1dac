"""What programs ask for: pages of readings and entries by key, and what a device has sent.

Each of these is found by an index, however long the history is.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, or_, select, tuple_, union_all
from sqlalchemy.orm import Session, aliased

from app.domain.quantities import Quantity
from app.domain.records import EntryKind, EntryStatus
from app.storage.base import UtcTime
from app.storage.models.access import Author
from app.storage.models.entry import Entry
from app.storage.models.livestock import StockEvent
from app.storage.models.water import Logger, Reading

Key = tuple[datetime, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which part of a history: `since` and `until` are included, `before` is the key of a page."""

    since: datetime | None = None
    until: datetime | None = None
    before: Key | None = None
    limit: int = 100


def _within(query: Any, at: Any, number: Any, asked: Asked) -> Any:
    """The newest part of a query, by time and number."""
    if asked.since is not None:
        query = query.where(at >= asked.since)
    if asked.until is not None:
        query = query.where(at <= asked.until)
    if asked.before is not None:
        key = tuple_(at, number)
        # the bound values need the columns' own types, or a time is written in another form
        bound = tuple_(*asked.before, types=[UtcTime(), number.type])
        # said twice: the time alone is what an index is entered by
        query = query.where(at <= asked.before[0], key < bound)
    return query.order_by(at.desc(), number.desc()).limit(asked.limit)


def readings(
    session: Session, tank_id: int, quantities: Collection[Quantity], asked: Asked
) -> Sequence[Any]:
    """Readings in force with the kind of their entry and of its author, the newest first."""
    probes = []
    for quantity in quantities:
        probe = select(Reading.id, Reading.at).where(
            Reading.tank_id == tank_id,
            Reading.quantity == quantity.value,
            Reading.in_force.is_(True),
        )
        probes.append(select(_within(probe, Reading.at, Reading.id, asked).subquery()))
    found = union_all(*probes).subquery()
    newest = select(found.c.id).order_by(found.c.at.desc(), found.c.id.desc()).limit(asked.limit)
    hands = aliased(Author)
    query = (
        select(Reading, Entry.kind, func.coalesce(hands.kind, Author.kind).label("by"))
        .join(Entry, Entry.id == Reading.entry_id)
        .join(Author, Author.id == Entry.author_id)
        .outerjoin(hands, hands.id == Entry.done_by_id)
        .where(Reading.id.in_(newest))
        .order_by(Reading.at.desc(), Reading.id.desc())
    )
    return session.execute(query).all()


def entries(
    session: Session, tank_id: int, kinds: Collection[EntryKind], asked: Asked, *, all_of: bool
) -> Sequence[Any]:
    """Entries that count, with the kind of who did them, the newest first; or `all_of` them.

    A loss that pupils were not told of is left out.
    """
    query = _told().where(Entry.tank_id == tank_id, Entry.kind.in_([k.value for k in kinds]))
    if not all_of:
        query = query.where(Entry.status == EntryStatus.OK.value)
    return session.execute(_within(query, Entry.happened_at, Entry.id, asked)).all()


def entry(session: Session, tank_id: int, entry_id: int) -> Any:
    """One entry as `entries` gives it, or None."""
    query = _told().where(
        Entry.tank_id == tank_id,
        Entry.id == entry_id,
        Entry.kind != EntryKind.WITHDRAWAL.value,
    )
    return session.execute(query).first()


def _told() -> Any:
    hands = aliased(Author)
    return (
        select(Entry, func.coalesce(hands.kind, Author.kind).label("by"))
        .join(Author, Author.id == Entry.author_id)
        .outerjoin(hands, hands.id == Entry.done_by_id)
        .outerjoin(StockEvent, StockEvent.entry_id == Entry.id)
        .where(or_(StockEvent.hidden.is_(None), StockEvent.hidden.is_(False)))
    )


def recent_values(
    session: Session, tank_id: int, quantity: Quantity, before: datetime, most: int
) -> tuple[float, ...]:
    """The last values of a quantity up to a moment, oldest first; of a card the color's own."""
    rows = session.execute(
        select(Reading.at, func.coalesce(Reading.value, Reading.low))
        .where(
            Reading.tank_id == tank_id,
            Reading.quantity == quantity.value,
            Reading.in_force.is_(True),
            Reading.at <= before,
        )
        .order_by(Reading.at.desc(), Reading.id.desc())
        .limit(most)
    )
    return tuple(value for _, value in reversed(rows.all()))


def logger_by_token(session: Session, tank_id: int, token: str) -> tuple[Entry, Logger] | None:
    """The entry of a device's day by its token, with its detail, or None."""
    row = session.execute(
        select(Entry, Logger)
        .join(Logger, Logger.entry_id == Entry.id)
        .where(Entry.tank_id == tank_id, Entry.token == token)
    ).first()
    return None if row is None else (row[0], row[1])


def values_of_entry(
    session: Session, entry_id: int, first: datetime, last: datetime
) -> dict[tuple[str, datetime], float | None]:
    """What an entry holds of a stretch, both ends included: values by quantity and moment."""
    rows = session.execute(
        select(Reading.quantity, Reading.at, Reading.value).where(
            Reading.entry_id == entry_id, Reading.at >= first, Reading.at <= last
        )
    )
    return {(quantity, at): value for quantity, at, value in rows}
