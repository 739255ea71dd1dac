"""Rows to snapshots: the one place where tables and rules meet.

Loads any number of tanks with the same number of statements, now or as of a past moment:
then with what was recorded by that moment, and not what was corrected later.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from sqlalchemy import and_, exists, func, literal, or_, select, union_all
from sqlalchemy.orm import Session, aliased

from app.domain.quantities import Quantity
from app.domain.records import EntryKind, EntryStatus, JobKind, Kit, Reading, StockGroup
from app.domain.snapshot import TankSnapshot
from app.storage import records
from app.storage.models.access import Author
from app.storage.models.entry import Entry
from app.storage.models.feeding import Feeding
from app.storage.models.livestock import Observation, StockEvent
from app.storage.models.livestock import StockGroup as GroupRow
from app.storage.models.maintenance import Job
from app.storage.models.tank import Tank
from app.storage.models.water import Reading as ReadingRow
from app.storage.models.water import WaterTest
from app.storage.queries import entries, livestock, tanks

ENTRIES_BACK = timedelta(days=60)
READINGS_BACK = timedelta(days=35)
LOGGER_BACK = timedelta(days=8)
AT_LEAST = 8
# kinds whose latest entry matters however old it is
_LATEST_KINDS = (EntryKind.FEEDING, EntryKind.WATER_TEST, EntryKind.OBSERVATION)
_LATEST_JOBS = (JobKind.WATER_CHANGE, JobKind.FILTER_RINSE, JobKind.KIT_CHECK)


class _Measured(NamedTuple):
    """A reading with the kind of entry it hangs on."""

    reading: ReadingRow
    entry_kind: str


def load(
    session: Session, tank_ids: Sequence[int], as_of: datetime, *, past: bool = False
) -> list[TankSnapshot]:
    """Snapshots of these tanks, in the order of their ids.

    Args:
        session: A session; nothing is written.
        tank_ids: The tanks to load; unknown ids are left out.
        as_of: The moment; later entries are not seen.
        past: Take only what was recorded by `as_of`, with the corrections of that time.
    """
    gone = _set_aside(session, tank_ids, as_of) if past else frozenset[int]()
    plain = tanks.load(session, tank_ids)
    rows = _entries(session, tank_ids, as_of, past=past)
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        if row.Entry.id not in gone:
            found[row.Entry.tank_id].append(row)
    readings = _readings(session, tank_ids, as_of, past=past)
    groups = _groups(session, tank_ids)
    return [
        _snapshot(
            as_of,
            tank,
            found[tank.tank.id],
            groups[tank.tank.id],
            [r for r in readings[tank.tank.id] if r.reading.entry_id not in gone],
        )
        for tank in plain
    ]


def _set_aside(session: Session, tank_ids: Sequence[int], as_of: datetime) -> frozenset[int]:
    """Entries that did not count at a past moment: corrected or taken back by then."""
    older: dict[int, int] = {}
    corrected: set[int] = set()
    withdrawn: set[int] = set()
    for entry_id, replaces_id, target_id in entries.changes_until(session, tank_ids, as_of):
        if target_id is not None:
            withdrawn.add(target_id)
            ancestor = older.get(target_id)
            while ancestor is not None and ancestor not in corrected:
                ancestor = older.get(ancestor)
            if ancestor is not None:
                corrected.discard(ancestor)
        elif replaces_id is not None:
            older[entry_id] = replaces_id
            ancestor = replaces_id
            while ancestor in withdrawn and ancestor in older:
                ancestor = older[ancestor]
            corrected.add(ancestor)
    return frozenset(corrected | withdrawn)


def _counts(past: bool) -> Any:
    return literal(value=True) if past else Entry.status == EntryStatus.OK.value


def _entries(
    session: Session, tank_ids: Sequence[int], as_of: datetime, *, past: bool
) -> Sequence[Any]:
    """All entries that rules may look at, each with its detail, in one statement."""
    hands = aliased(Author)
    latest = _latest_ids(session, tank_ids, as_of)
    query = (
        select(
            Entry,
            Feeding,
            WaterTest,
            Job,
            StockEvent,
            Observation,
            Author.name.label("author"),
            Author.kind.label("author_kind"),
            hands.name.label("hands"),
        )
        .join(Author, Entry.author_id == Author.id)
        .outerjoin(hands, Entry.done_by_id == hands.id)
        .outerjoin(Feeding, Feeding.entry_id == Entry.id)
        .outerjoin(WaterTest, WaterTest.entry_id == Entry.id)
        .outerjoin(Job, Job.entry_id == Entry.id)
        .outerjoin(StockEvent, StockEvent.entry_id == Entry.id)
        .outerjoin(Observation, Observation.entry_id == Entry.id)
        .where(
            Entry.tank_id.in_(tank_ids),
            Entry.happened_at <= as_of,
            _counts(past),
            or_(
                Entry.happened_at > as_of - ENTRIES_BACK,
                Entry.kind == EntryKind.STOCK_EVENT.value,
                Entry.id.in_(latest),
            ),
        )
        .order_by(Entry.happened_at, Entry.id)
    )
    if past:
        query = query.where(Entry.recorded_at <= as_of)
    return session.execute(query).all()


def _latest_ids(session: Session, tank_ids: Sequence[int], as_of: datetime) -> list[int]:
    """The latest entry of each kind and of each job that matters, probed by index."""

    def newest(*conditions: Any) -> Any:
        return (
            select(Entry.id)
            .where(
                Entry.tank_id == Tank.id,
                Entry.status == EntryStatus.OK.value,
                Entry.happened_at <= as_of,
                *conditions,
            )
            .order_by(Entry.happened_at.desc())
            .limit(1)
            .correlate(Tank)
            .scalar_subquery()
        )

    probes = [newest(Entry.kind == kind.value) for kind in _LATEST_KINDS]
    probes += [
        newest(
            Entry.kind == EntryKind.JOB.value,
            exists().where(Job.entry_id == Entry.id, Job.job == job.value),
        )
        for job in _LATEST_JOBS
    ]
    rows = session.execute(select(*probes).where(Tank.id.in_(tank_ids)))
    return [entry_id for row in rows for entry_id in row if entry_id is not None]


def _readings(
    session: Session, tank_ids: Sequence[int], as_of: datetime, *, past: bool
) -> dict[int, list[_Measured]]:
    """Readings by tank, ascending: the last 35 days, and at least the last eight of each."""
    names = union_all(*(select(literal(q.value).label("quantity")) for q in Quantity)).subquery()
    inner = aliased(ReadingRow)
    eighth = (
        select(inner.at)
        .where(
            inner.tank_id == Tank.id,
            inner.quantity == names.c.quantity,
            inner.in_force.is_(True),
            inner.at <= as_of,
        )
        .order_by(inner.at.desc())
        .limit(1)
        .offset(AT_LEAST - 1)
        .correlate(Tank, names)
        .scalar_subquery()
    )
    cutoffs = (
        select(Tank.id.label("tank_id"), names.c.quantity, eighth.label("eighth"))
        .select_from(Tank)
        .join(names, literal(value=True))
        .where(Tank.id.in_(tank_ids))
        .subquery()
    )
    query = (
        select(ReadingRow, Entry.kind)
        .select_from(cutoffs)
        .join(
            ReadingRow,
            and_(
                ReadingRow.tank_id == cutoffs.c.tank_id,
                ReadingRow.quantity == cutoffs.c.quantity,
                ReadingRow.at <= as_of,
            ),
        )
        .join(Entry, Entry.id == ReadingRow.entry_id)
        .where(
            or_(
                cutoffs.c.eighth.is_(None),
                ReadingRow.at >= cutoffs.c.eighth,
                ReadingRow.at > as_of - READINGS_BACK,
            ),
            or_(
                Entry.kind != EntryKind.LOGGER.value,
                ReadingRow.at > as_of - LOGGER_BACK,
                ReadingRow.at >= func.coalesce(cutoffs.c.eighth, ""),
            ),
        )
        .order_by(ReadingRow.at, ReadingRow.id)
    )
    query = (
        query.where(Entry.recorded_at <= as_of)
        if past
        else query.where(ReadingRow.in_force.is_(True))
    )
    found: dict[int, list[_Measured]] = defaultdict(list)
    for row in session.execute(query).all():
        found[row[0].tank_id].append(_Measured(*row))
    return found


def _groups(session: Session, tank_ids: Sequence[int]) -> dict[int, list[GroupRow]]:
    found: dict[int, list[GroupRow]] = defaultdict(list)
    query = select(GroupRow).where(GroupRow.tank_id.in_(tank_ids)).order_by(GroupRow.id)
    for row in session.scalars(query):
        found[row.tank_id].append(row)
    return found


def _snapshot(
    as_of: datetime,
    tank: tanks.TankRows,
    rows: Iterable[Any],
    groups: Sequence[GroupRow],
    readings: Sequence[_Measured],
) -> TankSnapshot:
    names = {group.id: group.name for group in groups}
    split = records.split(rows, names)
    counts = livestock.tally((e.group_id, e.what.value, e.count) for e in split.stock_events)
    return TankSnapshot(
        as_of=as_of,
        site=tank.site,
        tank=tank.tank,
        kits=tank.kits,
        groups=tuple(
            StockGroup(
                id=g.id, name=g.name, count=counts.get(g.id, 0), band=g.band, adult_cm=g.adult_cm
            )
            for g in groups
        ),
        feedings=split.feedings,
        tests=split.tests,
        jobs=split.jobs,
        stock_events=split.stock_events,
        observations=split.observations,
        readings=combined(readings, tank.kits),
        logger_entry_ids=frozenset(
            r.reading.entry_id for r in readings if r.entry_kind == EntryKind.LOGGER.value
        ),
    )


def combined(rows: Iterable[_Measured], kits: Sequence[Kit]) -> tuple[Reading, ...]:
    """Readings as records; several readers of one tube become one, in the middle."""
    by_tube: dict[tuple[int, str, datetime], list[ReadingRow]] = {}
    for row in rows:
        reading = row.reading
        by_tube.setdefault((reading.entry_id, reading.quantity, reading.at), []).append(reading)
    by_id = {kit.id: kit for kit in kits}
    return tuple(records.reading(tube, by_id) for tube in by_tube.values())
