"""What the story is told from: a row an entry, with its detail and what became of it.

The queries are put together once.
"""

import functools
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import BindParameter, Integer, bindparam, select, tuple_
from sqlalchemy.orm import Session, aliased

from app.domain.records import EntryKind
from app.storage.base import UtcTime
from app.storage.models.access import Author
from app.storage.models.entry import Entry, Withdrawal
from app.storage.models.livestock import StockEvent, StockGroup
from app.storage.queries.entries import DETAIL_TABLES

_TANK: BindParameter[int] = bindparam("tank")
_KINDS: BindParameter[Any] = bindparam("kinds", expanding=True)
_IDS: BindParameter[Any] = bindparam("ids", expanding=True)
# with the columns' own types, or a time is written in another form
_KEY = tuple_(bindparam("before_at", type_=UtcTime()), bindparam("before_id", type_=Integer()))
_LIMIT = bindparam("limit", type_=Integer())


def before(
    session: Session,
    tank_id: int,
    kinds: Sequence[str],
    key: tuple[datetime, int] | None,
    limit: int,
) -> Sequence[Any]:
    """The newest `limit` entries of these kinds, before a key if there is one; newest first."""
    given = {"tank": tank_id, "kinds": kinds, "limit": limit}
    if key is None:
        return session.execute(_newest(), given).all()
    at, entry_id = key
    return session.execute(_newest_before(), given | {"before_at": at, "before_id": entry_id}).all()


def of(session: Session, tank_id: int, entry_ids: Sequence[int]) -> Sequence[Any]:
    """Those of these entries that the tank has, newest first."""
    return session.execute(_of(), {"tank": tank_id, "ids": entry_ids}).all()


def detail(row: Any) -> Any:
    """The row of the table of its kind."""
    return getattr(row, DETAIL_TABLES[EntryKind(row.kind)].__name__)


@functools.cache
def _newest() -> Any:
    return _rows().where(Entry.kind.in_(_KINDS)).limit(_LIMIT)


@functools.cache
def _newest_before() -> Any:
    return _newest().where(tuple_(Entry.happened_at, Entry.id) < _KEY)


@functools.cache
def _of() -> Any:
    return _rows().where(Entry.id.in_(_IDS))


def _rows() -> Any:
    """Header, who wrote and whose hands, by which it is replaced, why it was taken back, detail."""
    hands, newer, back = aliased(Author), aliased(Entry), aliased(Entry)
    replaced_by = select(newer.id).where(newer.replaces_id == Entry.id).scalar_subquery()
    taken_back = (
        select(back.reason)
        .join(Withdrawal, Withdrawal.entry_id == back.id)
        .where(Withdrawal.target_id == Entry.id)
        .scalar_subquery()
    )
    query = (
        select(
            Entry.id, Entry.kind, Entry.token, Entry.happened_at, Entry.recorded_at,
            Entry.local_day, Entry.author_id, Entry.done_by_id, Entry.status, Entry.reason,
            Entry.replaces_id, Author.shown.label("author"), Author.kind.label("author_kind"),
            hands.shown.label("hands"), hands.kind.label("hands_kind"),
            replaced_by.label("replaced_by"), taken_back.label("taken_back"),
            StockGroup.name.label("group_name"), *DETAIL_TABLES.values(),
        )
        .join(Author, Entry.author_id == Author.id)
        .outerjoin(hands, Entry.done_by_id == hands.id)
    )  # fmt: skip
    for table in DETAIL_TABLES.values():
        query = query.outerjoin(table, table.entry_id == Entry.id)
    return (
        query.outerjoin(StockGroup, StockGroup.id == StockEvent.group_id)
        .where(Entry.tank_id == _TANK)
        .order_by(Entry.happened_at.desc(), Entry.id.desc())
    )
