"""What rules look at of a tank's time: entries with their details, readings; by index alone.

The queries are put together once; `given` holds what they are asked with.
"""

import functools
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import (
    BindParameter,
    and_,
    bindparam,
    case,
    exists,
    func,
    inspect,
    literal,
    or_,
    select,
    union,
    union_all,
)
from sqlalchemy.orm import Bundle, aliased

from app.domain.quantities import Quantity
from app.domain.records import EntryKind, EntryStatus, JobKind
from app.storage.base import UtcTime
from app.storage.models.access import Author
from app.storage.models.entry import Entry
from app.storage.models.feeding import Feeding
from app.storage.models.livestock import Observation, StockEvent
from app.storage.models.maintenance import Job, Treatment
from app.storage.models.tank import Tank
from app.storage.models.water import Reading as ReadingRow
from app.storage.models.water import WaterTest
from app.storage.records import OF_A_READING

ENTRIES_BACK = timedelta(days=60)
READINGS_BACK = timedelta(days=35)
LOGGER_BACK = timedelta(days=8)
AT_LEAST = 8
# kinds whose latest entry matters however old it is
_LATEST_KINDS = (EntryKind.FEEDING, EntryKind.WATER_TEST, EntryKind.OBSERVATION)
# what tells how a filter grew, read whole only when its stages are told anew
_FILTER_KINDS = (EntryKind.FEEDING.value, EntryKind.JOB.value)
_FILTER_QUANTITIES = (Quantity.AMMONIA.value, Quantity.NITRITE.value, Quantity.NITRATE.value)

_TANKS: BindParameter[Any] = bindparam("tanks", expanding=True)
_AS_OF = bindparam("as_of", type_=UtcTime())
_GONE: BindParameter[Any] = bindparam("gone", expanding=True)
_LATEST: BindParameter[Any] = bindparam("latest", expanding=True)
_ENTRIES_SINCE = bindparam("entries_since", type_=UtcTime())
_READINGS_SINCE = bindparam("readings_since", type_=UtcTime())
_LOGGER_SINCE = bindparam("logger_since", type_=UtcTime())


def given(tank_ids: Sequence[int], as_of: datetime, gone: frozenset[int]) -> dict[str, Any]:
    """What the queries are asked with; `latest_query` finds what `entries_query` needs besides.

    Args:
        tank_ids: The tanks.
        as_of: The moment; later entries are not seen.
        gone: Entries that did not count at a past moment.
    """
    return {
        "tanks": list(tank_ids),
        "as_of": as_of,
        "gone": list(gone),
        "entries_since": as_of - ENTRIES_BACK,
        "readings_since": as_of - READINGS_BACK,
        "logger_since": as_of - LOGGER_BACK,
    }


def _counting(past: bool) -> Sequence[Any]:
    """What tells the entries that count, now or at a past moment."""
    if past:
        return (
            Entry.happened_at <= _AS_OF,
            Entry.recorded_at <= _AS_OF,
            Entry.id.not_in(_GONE),
        )
    return (Entry.happened_at <= _AS_OF, Entry.status == EntryStatus.OK.value)


@functools.cache
def animals_query() -> Any:
    """The entries that tell which animals live in a tank."""
    return _with_details(
        Entry.tank_id.in_(_TANKS), Entry.kind == EntryKind.STOCK_EVENT.value, *_counting(past=False)
    )


@functools.cache
def entries_query(past: bool, filter_history: bool) -> Any:
    """The entries that rules may look at."""
    # each way in by its own index: with "or" the years before would be looked through
    of_tanks = select(Entry.id).where(Entry.tank_id.in_(_TANKS))
    kinds = [EntryKind.STOCK_EVENT.value, *(_FILTER_KINDS if filter_history else ())]
    ways = union(
        of_tanks.where(Entry.happened_at > _ENTRIES_SINCE, Entry.happened_at <= _AS_OF),
        of_tanks.where(Entry.kind.in_(kinds)),
        select(Entry.id).where(Entry.id.in_(_LATEST)),
    )
    return _with_details(*_counting(past), Entry.id.in_(ways))


def _with_details(*which: Any) -> Any:
    """These entries, each with its detail, in one statement."""
    hands = aliased(Author)
    return (
        select(
            Entry.id, Entry.tank_id, Entry.kind, Entry.happened_at, Entry.local_day,
            Entry.recorded_at, Entry.reason, Entry.replaces_id, Author.shown.label("author"),
            Author.kind.label("author_kind"), hands.shown.label("hands"), _columns(Feeding),
            _columns(WaterTest), _columns(Job), Treatment, StockEvent, _columns(Observation),
        )
        .join(Author, Entry.author_id == Author.id)
        .outerjoin(hands, Entry.done_by_id == hands.id)
        .outerjoin(Feeding, Feeding.entry_id == Entry.id)
        .outerjoin(WaterTest, WaterTest.entry_id == Entry.id)
        .outerjoin(Job, Job.entry_id == Entry.id)
        .outerjoin(Treatment, Treatment.entry_id == Entry.id)
        .outerjoin(StockEvent, StockEvent.entry_id == Entry.id)
        .outerjoin(Observation, Observation.entry_id == Entry.id)
        .where(*which)
        .order_by(Entry.happened_at, Entry.id)
    )  # fmt: skip


def _columns(table: type[Any]) -> Bundle[Any]:
    """The columns of a detail's table under its name: two months would be hundreds of objects.

    Not for a table with a column called `count`, which every row has as a method.
    """
    own = (c.key for c in inspect(table).column_attrs if c.key not in {"entry_id", "kind"})
    return Bundle(table.__name__, *(getattr(table, key) for key in own))


@functools.cache
def latest_query(past: bool) -> Any:
    """The latest entry of each kind and each job, probed by index, and every step ticked off."""
    latest = [
        select(Entry.id)
        .where(Entry.tank_id == Tank.id, Entry.kind == kind.value, *_counting(past))
        .where(*_is_look(kind))
        .order_by(Entry.happened_at.desc())
        .limit(1)
        .correlate(Tank)
        .scalar_subquery()
        for kind in _LATEST_KINDS
    ]
    names = union_all(*(select(literal(j.value).label("job")) for j in JobKind)).subquery()
    latest_job = (
        select(Job.entry_id)
        .join(Entry, Entry.id == Job.entry_id)
        .where(Job.tank_id == Tank.id, Job.job == names.c.job, *_counting(past))
        .order_by(Job.happened_at.desc())
        .limit(1)
        .correlate(Tank, names)
        .scalar_subquery()
    )
    return union_all(
        *(select(probe).where(Tank.id.in_(_TANKS)) for probe in latest),
        select(latest_job)
        .select_from(Tank)
        .join(names, literal(value=True))
        .where(Tank.id.in_(_TANKS)),
        select(Job.entry_id).where(Job.tank_id.in_(_TANKS), Job.job == JobKind.STEP.value),
    )


def _is_look(kind: EntryKind) -> Sequence[Any]:
    """What tells a look from a mere note, which tells nothing of the tank's state."""
    if kind is not EntryKind.OBSERVATION:
        return ()
    looks = select(Observation.entry_id).where(Observation.is_look.is_(True))
    return (exists(looks.where(Observation.entry_id == Entry.id).correlate(Entry)),)


@functools.cache
def readings_query(past: bool, filter_history: bool) -> Any:
    """Readings, ascending: the last 35 days, and at least the last eight of each quantity."""
    names = union_all(*(select(literal(q.value).label("quantity")) for q in Quantity)).subquery()
    inner = aliased(ReadingRow)
    eighth = (
        select(inner.at)
        .distinct()  # several readers of one tube are one reading
        .where(
            inner.tank_id == Tank.id,
            inner.quantity == names.c.quantity,
            inner.in_force.is_(True),
            inner.at <= _AS_OF,
        )
        .order_by(inner.at.desc())
        .limit(1)
        .offset(AT_LEAST - 1)
        .correlate(Tank, names)
        .scalar_subquery()
    )
    # worked out first: merged into the rest, a logger's years would be looked through for each
    cutoffs = (
        select(Tank.id.label("tank_id"), names.c.quantity, eighth.label("eighth"))
        .select_from(Tank)
        .join(names, literal(value=True))
        .where(Tank.id.in_(_TANKS))
        .cte("cutoffs")
        .prefix_with("MATERIALIZED")
    )
    return (
        # columns, not objects: a logger's eight days are hundreds of rows
        select(*OF_A_READING, Entry.kind.label("entry_kind"))
        .select_from(cutoffs)
        .join(
            ReadingRow,
            and_(
                ReadingRow.tank_id == cutoffs.c.tank_id,
                ReadingRow.quantity == cutoffs.c.quantity,
                ReadingRow.at <= _AS_OF,
                *([] if filter_history else [ReadingRow.at >= _earliest(cutoffs.c.eighth)]),
            ),
        )
        .join(Entry, Entry.id == ReadingRow.entry_id)
        .where(
            or_(
                cutoffs.c.eighth.is_(None),
                ReadingRow.at >= cutoffs.c.eighth,
                ReadingRow.at > _READINGS_SINCE,
                *([ReadingRow.quantity.in_(_FILTER_QUANTITIES)] if filter_history else []),
            ),
            or_(
                Entry.kind != EntryKind.LOGGER.value,
                ReadingRow.at > _LOGGER_SINCE,
                ReadingRow.at >= func.coalesce(cutoffs.c.eighth, ""),
            ),
            Entry.recorded_at <= _AS_OF if past else ReadingRow.in_force.is_(True),
        )
        .order_by(ReadingRow.at, ReadingRow.id)
    )


def _earliest(eighth: Any) -> Any:
    """From where on readings are looked through at all, so that the index leaves out the years."""
    return case((eighth < _READINGS_SINCE, eighth), (eighth.is_(None), ""), else_=_READINGS_SINCE)
