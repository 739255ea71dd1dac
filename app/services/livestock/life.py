"""The life of a group of animals, read from its events: how they came, who is left, growth."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from app.domain.livestock import Batch, StockGroup
from app.domain.records import StockEvent, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge
from app.rules.newcomers import CAME, new_arrivals

STEP_DAYS: Final = 30
MOST_ROWS: Final = 25
_WITHOUT: Final = "No batch"
_ALL: Final = "All of them"
_LOST: Final = frozenset({StockEventKind.DIED, StockEventKind.MISSING})
_GONE: Final = frozenset({StockEventKind.LEFT, StockEventKind.MOVED_OUT})


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """Animals that came; `watch_until` is the day the look-out for illness ends, if it runs."""

    event: StockEvent
    group_name: str
    label: str
    source: str
    watch_until: date | None


@dataclass(frozen=True, slots=True)
class LifeRow:
    """After so many days: how many are still here, how many died or are missing, went elsewhere."""

    days: int
    here: int
    lost: int
    gone: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeTable:
    """What became of animals that came together; rows every 30 days and on the last day."""

    label: str
    came_on: date
    came: int
    rows: tuple[LifeRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupLife:
    """All that is written of a group.

    `unplaced` losses name no batch where there are several, and stand in no table. `events` are
    the newest first, `measured` those with a length, oldest first.
    """

    group: StockGroup
    since: date | None
    sources: tuple[str, ...]
    arrivals: tuple[Arrival, ...]
    tables: tuple[LifeTable, ...]
    unplaced: int
    measured: tuple[StockEvent, ...]
    events: tuple[StockEvent, ...]


def lives(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[GroupLife, ...]:
    """The life of every group of a tank, in the order of the groups."""
    return tuple(_life(group, snapshot, knowledge) for group in snapshot.groups)


def watched(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Arrival, ...]:
    """The arrivals whose look-out still runs, oldest first."""
    return tuple(
        a for life in lives(snapshot, knowledge) for a in life.arrivals if a.watch_until is not None
    )


def _life(group: StockGroup, snapshot: TankSnapshot, knowledge: Knowledge) -> GroupLife:
    events = tuple(e for e in snapshot.stock_events if e.group_id == group.id)
    batches = {b.id: b for b in snapshot.batches if b.group_id == group.id}
    came = [e for e in events if e.what in CAME]
    parts = tuple(dict.fromkeys(e.batch_id for e in came))
    is_one = len(parts) == 1
    tables = [_table(part, events, batches, snapshot.today, whole=is_one) for part in parts]
    out = _LOST | _GONE
    return GroupLife(
        group=group,
        since=came[0].local_day if came else None,
        sources=tuple(dict.fromkeys(b.source for b in batches.values() if b.source)),
        arrivals=tuple(_arrivals(group, came, batches, snapshot, knowledge)),
        tables=tuple(tables),
        unplaced=0
        if is_one
        else sum(e.count for e in events if e.what in out and e.batch_id is None),
        measured=tuple(e for e in events if e.length_cm is not None),
        events=tuple(reversed(events)),
    )


def _arrivals(
    group: StockGroup,
    came: Sequence[StockEvent],
    batches: dict[int, Batch],
    snapshot: TankSnapshot,
    knowledge: Knowledge,
) -> Iterator[Arrival]:
    days = int(knowledge.value("arrivals.apart-days"))
    new = {e.id for e in new_arrivals(snapshot)}
    for event in came:
        batch = batches.get(event.batch_id or 0)
        until = event.local_day + timedelta(days=days)
        runs = event.what is StockEventKind.ARRIVED and event.id in new and snapshot.today < until
        yield Arrival(
            event=event,
            group_name=group.name,
            label=batch.label if batch else "",
            source=batch.source if batch else "",
            watch_until=until if runs and (event.apart_days or 0) < days else None,
        )


def _table(
    part: int | None,
    events: Sequence[StockEvent],
    batches: dict[int, Batch],
    today: date,
    *,
    whole: bool,
) -> LifeTable:
    """The table of one batch; of the only one when `whole`, so that every loss is its own."""
    own = [e for e in events if e.batch_id == part or (whole and e.what not in CAME)]
    if part is None and not whole:
        own = [e for e in own if e.what in CAME]
    first = next(e.local_day for e in own if e.what in CAME)
    batch = batches.get(part or 0)
    label = (batch.label or batch.source) if batch else (_ALL if whole else _WITHOUT)
    rows = tuple(_row(days, first, own) for days in _days((today - first).days))
    return LifeTable(
        label=label,
        came_on=first,
        came=sum(e.count for e in own if e.what in CAME),
        rows=rows,
    )


def _days(age: int) -> tuple[int, ...]:
    """Every 30 days up to an age; for old animals further apart, still in steps of 30 days."""
    wide = STEP_DAYS * (1 + age // (STEP_DAYS * MOST_ROWS))
    steps = range(0, age + 1, wide)
    return tuple(dict.fromkeys((*steps, age)))


def _row(days: int, first: date, own: Sequence[StockEvent]) -> LifeRow:
    until = first + timedelta(days=days)
    by_then = [e for e in own if e.local_day <= until]

    def total(*kinds: StockEventKind) -> int:
        return sum(e.count for e in by_then if e.what in kinds)

    lost = total(*_LOST) - total(StockEventKind.FOUND)
    gone = total(*_GONE)
    here = total(*CAME, StockEventKind.BORN) - lost - gone
    return LifeRow(days=days, here=max(0, here), lost=max(0, lost), gone=gone)
