"""Rows to snapshots: the one place where tables and rules meet.

Loads any number of tanks with the same number of statements, now or as of a past moment:
then with what was recorded by that moment, and not what was corrected later.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.kit import Equipment, Kit
from app.domain.livestock import Plant
from app.domain.quantities import Quantity
from app.domain.records import EntryKind, Reading
from app.domain.snapshot import TankSnapshot
from app.storage import records
from app.storage.queries import entries, forecasts, kits, lived, livestock, tanks


class _Lived(NamedTuple):
    """What one tank's record holds of its time: entries and readings, ascending."""

    entries: Sequence[Any]
    readings: Sequence[Any]


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
    given = lived.given(tank_ids, as_of, gone)
    if animals_only:
        rows = session.execute(lived.animals_query(), given).all()
    else:
        latest = session.scalars(lived.latest_query(past), given)
        given["latest"] = [each for each in latest if each is not None]
        rows = session.execute(lived.entries_query(past, filter_history), given).all()
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        if row.id not in gone:
            found[row.tank_id].append(row)
    readings: dict[int, list[Any]] = defaultdict(list)
    if not animals_only:
        for reading in session.execute(lived.readings_query(past, filter_history), given):
            readings[reading.tank_id].append(reading)
    beside = _beside(session, tank_ids, as_of)
    return [
        _snapshot(
            as_of,
            tank,
            _Lived(
                found[tank.tank.id],
                [r for r in readings[tank.tank.id] if r.entry_id not in gone],
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


def _snapshot(as_of: datetime, tank: tanks.TankRows, time: _Lived, beside: _Kept) -> TankSnapshot:
    names = {group.id: group.name for group in beside.lodgers.groups}
    split = records.split(time.entries, names)
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
        revision=tank.revision,
        feedings=split.feedings,
        tests=split.tests,
        jobs=split.jobs,
        stock_events=split.stock_events,
        observations=split.observations,
        readings=combined(time.readings, tank.kits),
        logger_entry_ids=frozenset(
            r.entry_id for r in time.readings if r.entry_kind == EntryKind.LOGGER.value
        ),
    )


def _in_use(equipment: Equipment, today: date) -> bool:
    is_there = equipment.since is None or equipment.since <= today
    return is_there and (equipment.retired_on is None or equipment.retired_on > today)


def combined(rows: Iterable[Any], kits: Sequence[Kit]) -> tuple[Reading, ...]:
    """Readings as records; several readers of one tube become one, in the middle.

    The rows are objects or have the columns of the table.
    """
    by_tube: dict[tuple[int, str, datetime], list[Any]] = {}
    for reading in rows:
        by_tube.setdefault((reading.entry_id, reading.quantity, reading.at), []).append(reading)
    by_id = {kit.id: kit for kit in kits}
    return tuple(records.reading(tube, by_id) for tube in by_tube.values())
