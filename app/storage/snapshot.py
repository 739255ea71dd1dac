"""Rows to snapshots: the one place where tables and rules meet.

Loads any number of tanks with the same number of statements, now or as of a past moment:
then with what was recorded by that moment, and not what was corrected later.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import Any, NamedTuple

from sqlalchemy import and_, case, exists, func, literal, or_, select, union_all
from sqlalchemy.orm import Session, aliased

from app.domain.calendar import local_day
from app.domain.kit import Equipment, Kit
from app.domain.livestock import Plant
from app.domain.quantities import Quantity
from app.domain.records import EntryKind, EntryStatus, JobKind, Reading
from app.domain.snapshot import TankSnapshot
from app.storage import records
from app.storage.base import UtcTime
from app.storage.models.access import Author
from app.storage.models.entry import Entry
from app.storage.models.feeding import Feeding
from app.storage.models.livestock import Observation, StockEvent
from app.storage.models.maintenance import Job
from app.storage.models.tank import Tank
from app.storage.models.water import Reading as ReadingRow
from app.storage.models.water import WaterTest
from app.storage.queries import entries, forecasts, kits, livestock, tanks

ENTRIES_BACK = timedelta(days=60)
READINGS_BACK = timedelta(days=35)
LOGGER_BACK = timedelta(days=8)
AT_LEAST = 8
# kinds whose latest entry matters however old it is
_LATEST_KINDS = (EntryKind.FEEDING, EntryKind.WATER_TEST, EntryKind.OBSERVATION)
# what tells how a filter grew, read whole only when its stages are told anew
_FILTER_KINDS = (EntryKind.FEEDING.value, EntryKind.JOB.value)
_FILTER_QUANTITIES = (Quantity.AMMONIA.value, Quantity.NITRITE.value, Quantity.NITRATE.value)


class _Measured(NamedTuple):
    """A reading with the kind of entry it hangs on."""

    reading: ReadingRow
    entry_kind: str


class _Lived(NamedTuple):
    """What one tank's record holds of its time: entries and readings, ascending."""

    entries: Sequence[Any]
    readings: Sequence[_Measured]


class _Kept(NamedTuple):
    """What stands beside one tank's entries."""

    lodgers: livestock.Lodgers
    plants: Sequence[Plant]
    equipment: Sequence[Equipment]
    widened: tuple[tuple[Quantity, float], ...]


def load(
    session: Session,
    tank_ids: Sequence[int],
    as_of: datetime,
    *,
    past: bool = False,
    filter_history: bool = False,
    animals_only: bool = False,
) -> list[TankSnapshot]:
    """Snapshots of these tanks, in the order of their ids.

    Args:
        session: A session; nothing is written.
        tank_ids: The tanks to load; unknown ids are left out.
        as_of: The moment; later entries are not seen.
        past: Take only what was recorded by `as_of`, with the corrections of that time.
        filter_history: Take all tests of ammonia, nitrite and nitrate, meals and jobs, however old.
        animals_only: Take no readings and no entries but those of animals: a tenth of the work.
    """
    gone = _set_aside(session, tank_ids, as_of) if past else frozenset[int]()
    plain = tanks.load(session, tank_ids)
    rows = (
        _entries(session, tank_ids, _of_animals(as_of))
        if animals_only
        else _entries(
            session,
            tank_ids,
            *_looked_at(
                session, tank_ids, as_of, past=past, gone=gone, filter_history=filter_history
            ),
        )
    )
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        if row.Entry.id not in gone:
            found[row.Entry.tank_id].append(row)
    readings: dict[int, list[_Measured]] = defaultdict(list)
    if not animals_only:
        readings = _readings(session, tank_ids, as_of, past=past, filter_history=filter_history)
    beside = _beside(session, tank_ids, as_of)
    return [
        _snapshot(
            as_of,
            tank,
            _Lived(
                found[tank.tank.id],
                [r for r in readings[tank.tank.id] if r.reading.entry_id not in gone],
            ),
            beside[tank.tank.id],
        )
        for tank in plain
    ]


def _beside(session: Session, tank_ids: Sequence[int], as_of: datetime) -> dict[int, _Kept]:
    """What stands beside the entries, by tank, in one statement a noun."""
    lodgers = livestock.lodgers(session, tank_ids)
    plants = livestock.plants(session, tank_ids)
    equipment = kits.equipment(session, tank_ids)
    widened = forecasts.factors(session, tank_ids, as_of)
    return {i: _Kept(lodgers[i], plants[i], equipment[i], widened[i]) for i in tank_ids}


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


def _of_animals(as_of: datetime) -> Any:
    """The entries that tell which animals live in a tank."""
    return and_(
        Entry.kind == EntryKind.STOCK_EVENT.value, Entry.happened_at <= as_of, _counts(past=False)
    )


def _looked_at(
    session: Session,
    tank_ids: Sequence[int],
    as_of: datetime,
    *,
    past: bool,
    gone: frozenset[int],
    filter_history: bool,
) -> Sequence[Any]:
    """What tells the entries that rules may look at."""
    counting = [Entry.happened_at <= as_of, _counts(past)]
    if past:
        counting += [Entry.recorded_at <= as_of, Entry.id.not_in(gone)]
    latest = _latest_ids(session, tank_ids, counting)
    return (
        *counting,
        or_(
            Entry.happened_at > as_of - ENTRIES_BACK,
            Entry.kind == EntryKind.STOCK_EVENT.value,
            Entry.id.in_(latest),
            *([Entry.kind.in_(_FILTER_KINDS)] if filter_history else []),
        ),
    )


def _entries(session: Session, tank_ids: Sequence[int], *which: Any) -> Sequence[Any]:
    """These entries, each with its detail, in one statement."""
    hands = aliased(Author)
    query = (
        select(
            Entry,
            Feeding,
            WaterTest,
            Job,
            StockEvent,
            Observation,
            Author.shown.label("author"),
            Author.kind.label("author_kind"),
            hands.shown.label("hands"),
        )
        .join(Author, Entry.author_id == Author.id)
        .outerjoin(hands, Entry.done_by_id == hands.id)
        .outerjoin(Feeding, Feeding.entry_id == Entry.id)
        .outerjoin(WaterTest, WaterTest.entry_id == Entry.id)
        .outerjoin(Job, Job.entry_id == Entry.id)
        .outerjoin(StockEvent, StockEvent.entry_id == Entry.id)
        .outerjoin(Observation, Observation.entry_id == Entry.id)
        .where(Entry.tank_id.in_(tank_ids), *which)
        .order_by(Entry.happened_at, Entry.id)
    )
    return session.execute(query).all()


def _latest_ids(session: Session, tank_ids: Sequence[int], counting: Sequence[Any]) -> list[int]:
    """The latest entry of each kind and each job, probed by index, and every step ticked off."""
    latest = [
        select(Entry.id)
        .where(Entry.tank_id == Tank.id, Entry.kind == kind.value, *counting)
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
        .where(Job.tank_id == Tank.id, Job.job == names.c.job, *counting)
        .order_by(Job.happened_at.desc())
        .limit(1)
        .correlate(Tank, names)
        .scalar_subquery()
    )
    steps = select(Job.entry_id).where(Job.tank_id.in_(tank_ids), Job.job == JobKind.STEP.value)
    query = union_all(
        *(select(probe).where(Tank.id.in_(tank_ids)) for probe in latest),
        select(latest_job)
        .select_from(Tank)
        .join(names, literal(value=True))
        .where(Tank.id.in_(tank_ids)),
        steps,
    )
    return [found for found in session.scalars(query) if found is not None]


def _is_look(kind: EntryKind) -> Sequence[Any]:
    """What tells a look from a mere note, which tells nothing of the tank's state."""
    if kind is not EntryKind.OBSERVATION:
        return ()
    looks = select(Observation.entry_id).where(Observation.is_look.is_(True))
    return (exists(looks.where(Observation.entry_id == Entry.id).correlate(Entry)),)


def _readings(
    session: Session,
    tank_ids: Sequence[int],
    as_of: datetime,
    *,
    past: bool,
    filter_history: bool,
) -> dict[int, list[_Measured]]:
    """Readings by tank, ascending: the last 35 days, and at least the last eight of each."""
    names = union_all(*(select(literal(q.value).label("quantity")) for q in Quantity)).subquery()
    inner = aliased(ReadingRow)
    eighth = (
        select(inner.at)
        .distinct()  # several readers of one tube are one reading
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
                *([] if filter_history else [ReadingRow.at >= _earliest(cutoffs.c.eighth, as_of)]),
            ),
        )
        .join(Entry, Entry.id == ReadingRow.entry_id)
        .where(
            or_(
                cutoffs.c.eighth.is_(None),
                ReadingRow.at >= cutoffs.c.eighth,
                ReadingRow.at > as_of - READINGS_BACK,
                *([ReadingRow.quantity.in_(_FILTER_QUANTITIES)] if filter_history else []),
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


def _earliest(eighth: Any, as_of: datetime) -> Any:
    """From where on readings are looked through at all, so that the index leaves out the years."""
    since = literal(as_of - READINGS_BACK, UtcTime())
    return case((eighth < since, eighth), (eighth.is_(None), ""), else_=since)


def _snapshot(as_of: datetime, tank: tanks.TankRows, lived: _Lived, beside: _Kept) -> TankSnapshot:
    names = {group.id: group.name for group in beside.lodgers.groups}
    split = records.split(lived.entries, names)
    today = local_day(as_of, tank.site.zone)
    return TankSnapshot(
        as_of=as_of,
        site=tank.site,
        tank=tank.tank,
        kits=tank.kits,
        groups=livestock.counted(beside.lodgers.groups, split.stock_events),
        batches=tuple(beside.lodgers.batches),
        plants=tuple(beside.plants),
        equipment=tuple(e for e in beside.equipment if _in_use(e, today)),
        comparisons=tuple(c for c in tank.comparisons if c.at <= as_of),
        stages=tuple(s for s in tank.stages if s.on <= today),
        widened=beside.widened,
        feedings=split.feedings,
        tests=split.tests,
        jobs=split.jobs,
        stock_events=split.stock_events,
        observations=split.observations,
        readings=combined((r.reading for r in lived.readings), tank.kits),
        logger_entry_ids=frozenset(
            r.reading.entry_id for r in lived.readings if r.entry_kind == EntryKind.LOGGER.value
        ),
    )


def _in_use(equipment: Equipment, today: date) -> bool:
    is_there = equipment.since is None or equipment.since <= today
    return is_there and (equipment.retired_on is None or equipment.retired_on > today)


def combined(rows: Iterable[ReadingRow], kits: Sequence[Kit]) -> tuple[Reading, ...]:
    """Readings as records; several readers of one tube become one, in the middle."""
    by_tube: dict[tuple[int, str, datetime], list[ReadingRow]] = {}
    for reading in rows:
        by_tube.setdefault((reading.entry_id, reading.quantity, reading.at), []).append(reading)
    by_id = {kit.id: kit for kit in kits}
    return tuple(records.reading(tube, by_id) for tube in by_tube.values())
