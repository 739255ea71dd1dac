"""Groups of animals: who they are, how they came, where they moved, how long they are."""

from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.domain.drafts import NewStockEvent
from app.domain.errors import NotFound, Refused, TokenReused
from app.domain.livestock import Batch, StockGroup
from app.domain.records import EntryStatus, StockEventKind
from app.services import entries
from app.services.entries import Saved, Stamp
from app.services.names import optional, required
from app.services.transaction import begin, finish, one_transaction
from app.storage import snapshot
from app.storage.base import folded
from app.storage.models.entry import Entry
from app.storage.models.livestock import StockBatch, StockEvent
from app.storage.models.livestock import StockGroup as GroupRow
from app.storage.queries import entries as entry_rows
from app.storage.queries import livestock

BANDS = ("surface", "middle", "bottom")
_SPECIES, _SOURCE = 120, 120


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupFacts:
    """What is known of a group: `species` is a scientific name of a catalogue, or ""."""

    name: str
    band: str = "middle"
    adult_cm: float | None = None
    species: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivalDraft:
    """Animals that came: how many, from where, how long they were kept apart before.

    With a label or a source they are a batch that can be traced. `length_cm` is their mean
    total length.
    """

    group_id: int
    count: int
    label: str = ""
    source: str = ""
    apart_days: int | None = None
    length_cm: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveDraft:
    """Animals of a group that go to another tank."""

    to_tank_id: int
    group_id: int
    count: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class Arrived:
    """An arrival that stands written, and its batch if it has one."""

    saved: Saved
    batch_id: int | None


@dataclass(frozen=True, slots=True)
class Moved:
    """The two entries of one move."""

    out: Saved
    into: Saved


@dataclass(frozen=True, slots=True)
class HiddenLoss:
    """A loss that pupils were not told of yet."""

    entry_id: int
    group_name: str
    count: int
    happened_at: datetime


def groups(session: Session, tank_id: int, *, now: datetime) -> tuple[StockGroup, ...]:
    """The groups of animals in a tank with their counts."""
    found = snapshot.load(session, [tank_id], now)
    return found[0].groups if found else ()


def batches(session: Session, tank_id: int) -> tuple[Batch, ...]:
    """The batches of a tank's groups, in the order in which they came."""
    return tuple(livestock.lodgers(session, [tank_id])[tank_id].batches)


def add_group(
    session: Session,
    tank_id: int,
    name: str,
    band: str = "middle",
    adult_cm: float | None = None,
    *,
    species: str = "",
) -> int:
    """A new group of animals, still without any; returns its id.

    Raises:
        NotFound: If there is no such tank.
        Refused: If it has no name, or the tank has a group of that name.
    """
    values = _columns(GroupFacts(name=name, band=band, adult_cm=adult_cm, species=species))
    begin(session, tank_id)
    _check_twin(session, tank_id, name)
    row = GroupRow(tank_id=tank_id, **values)
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def change_group(session: Session, group_id: int, facts: GroupFacts) -> None:
    """Change what is known of a group; its name changes in what was written as well.

    Raises:
        NotFound: If there is no such group.
        Refused: If it has no name, or another group of the tank has it.
    """
    values = _columns(facts)
    row = session.get(GroupRow, group_id)
    if row is None:
        raise NotFound("There is no such group.")
    begin(session, row.tank_id)
    if row.folded != values["folded"]:
        _check_twin(session, row.tank_id, facts.name)
    for column, value in values.items():
        setattr(row, column, value)
    finish(session)


def arrive(session: Session, stamp: Stamp, draft: ArrivalDraft, *, now: datetime) -> Arrived:
    """Animals came: their batch and the entry, together or not at all.

    Raises:
        NotFound: If the tank has no such group.
        Refused: If nothing came, or they were apart for less than no day.
        TokenReused: If the same form was saved before with other values.
    """
    label, source = optional(draft.label), optional(draft.source, _SOURCE)
    if draft.count < 1:
        raise Refused("Enter how many came.")
    if draft.apart_days is not None and draft.apart_days < 0:
        raise Refused("Enter for how many days they were kept apart, or leave it empty.")
    event = NewStockEvent(
        what=StockEventKind.ARRIVED,
        group_id=draft.group_id,
        count=draft.count,
        apart_days=draft.apart_days,
        length_cm=draft.length_cm,
        note=draft.note,
    )
    begin(session, stamp.tank_id)
    before = entry_rows.by_token(session, stamp.tank_id, stamp.token)
    if before is not None:
        return _arrived_before(session, stamp, event, before.id, (label, source))
    with one_transaction(session):
        batch_id = _add_batch(session, draft.group_id, label, source) if label or source else None
        saved = entries.record(session, stamp, replace(event, batch_id=batch_id), now=now)
    return Arrived(saved, batch_id)


def _arrived_before(
    session: Session, stamp: Stamp, event: NewStockEvent, entry_id: int, batch: tuple[str, str]
) -> Arrived:
    """What the same form saved before: it is the same only with the same batch."""
    row = session.get(StockEvent, entry_id)
    kept = session.get(StockBatch, row.batch_id) if row is not None and row.batch_id else None
    if (kept.label, kept.source) != batch if kept is not None else any(batch):
        raise TokenReused(entry_id)
    batch_id = kept.id if kept is not None else None
    saved = entries.saved_before(session, stamp, replace(event, batch_id=batch_id), ())
    session.rollback()
    return Arrived(saved or Saved(entry_id, fresh=False), batch_id)


def _add_batch(session: Session, group_id: int, label: str, source: str) -> int:
    if session.get(GroupRow, group_id) is None:
        raise NotFound("There is no such group in this tank.")
    row = StockBatch(group_id=group_id, label=label, source=source)
    session.add(row)
    session.flush()
    return row.id


def move(session: Session, stamp: Stamp, draft: MoveDraft, *, now: datetime) -> Moved:
    """Animals go to another tank: an entry in each, under one token, undone together.

    In the other tank they join the group of the same name, or a new one.

    Raises:
        NotFound: If there is no such tank, or no such group in the tank they leave.
        Refused: If the tanks are one, or the group does not hold so many.
        TokenReused: If the same form was saved before with other values.
    """
    if draft.to_tank_id == stamp.tank_id:
        raise Refused("Choose the tank they move to.")
    begin(session, stamp.tank_id, draft.to_tank_id)
    out = NewStockEvent(
        what=StockEventKind.MOVED_OUT, group_id=draft.group_id, count=draft.count, note=draft.note
    )
    before = entries.saved_before(session, stamp, out, ())
    if before is not None:
        return _moved_before(session, stamp, draft, before)
    group = _leaving(session, stamp.tank_id, draft, now)
    with one_transaction(session):
        arrival = NewStockEvent(
            what=StockEventKind.MOVED_IN,
            group_id=_group_like(session, draft.to_tank_id, group),
            count=draft.count,
            note=draft.note,
        )
        return Moved(
            # what was asked is about the tank they come to
            entries.record(session, replace(stamp, reason=""), out, now=now),
            entries.record(session, replace(stamp, tank_id=draft.to_tank_id), arrival, now=now),
        )


def _moved_before(session: Session, stamp: Stamp, draft: MoveDraft, before: Saved) -> Moved:
    there = entry_rows.by_token(session, draft.to_tank_id, stamp.token)
    session.rollback()
    if there is None:
        raise TokenReused(before.entry_id)
    return Moved(before, Saved(there.id, fresh=False))


def _leaving(session: Session, tank_id: int, draft: MoveDraft, now: datetime) -> StockGroup:
    group = next((g for g in groups(session, tank_id, now=now) if g.id == draft.group_id), None)
    if group is None:
        raise NotFound("There is no such group in this tank.")
    if not 1 <= draft.count <= group.count:
        raise Refused(f"{group.count} {group.name} live here. Enter how many of them move.")
    return group


def _group_like(session: Session, tank_id: int, group: StockGroup) -> int:
    """The group of that name in another tank, made when there is none."""
    there = _named(session, tank_id, group.name)
    if there is not None:
        return there
    return add_group(
        session, tank_id, group.name, group.band, group.adult_cm, species=group.species
    )


def measure(
    session: Session,
    stamp: Stamp,
    group_id: int,
    count: int,
    length_cm: float,
    *,
    note: str = "",
    now: datetime,
) -> Saved:
    """Write down how long the animals of a group are: the mean total length of `count` of them.

    Raises:
        NotFound: If the tank has no such group.
        Refused: If none was measured, or the length cannot be.
    """
    if count < 1 or not length_cm > 0:
        raise Refused("Enter how many were measured and how long they are.")
    event = NewStockEvent(
        what=StockEventKind.MEASURED,
        group_id=group_id,
        count=count,
        length_cm=length_cm,
        note=note,
    )
    return entries.record(session, stamp, event, now=now)


def hidden_losses(session: Session, tank_id: int) -> tuple[HiddenLoss, ...]:
    """The losses of a tank that pupils were not told of yet, oldest first."""
    rows = session.execute(
        select(Entry.id, GroupRow.name, StockEvent.count, Entry.happened_at)
        .join(StockEvent, StockEvent.entry_id == Entry.id)
        .join(GroupRow, GroupRow.id == StockEvent.group_id)
        .where(
            Entry.tank_id == tank_id,
            Entry.status == EntryStatus.OK.value,
            StockEvent.hidden.is_(True),
        )
        .order_by(Entry.happened_at, Entry.id)
    )
    return tuple(HiddenLoss(*row) for row in rows)


def release_losses(session: Session, tank_id: int, *, group_id: int | None = None) -> int:
    """Let pupils see the losses of a tank, or of one of its groups; returns how many those were.

    Raises:
        NotFound: If there is no such tank.
    """
    begin(session, tank_id)
    told = hidden_losses(session, tank_id)
    of_tank = select(GroupRow.id).where(GroupRow.tank_id == tank_id)
    if group_id is not None:
        of_tank = of_tank.where(GroupRow.id == group_id)
    # corrected ones as well: they may count again
    session.execute(
        update(StockEvent)
        .where(StockEvent.group_id.in_(of_tank), StockEvent.hidden.is_(True))
        .values(hidden=False)
    )
    left = hidden_losses(session, tank_id)
    finish(session)
    return len(told) - len(left)


def _named(session: Session, tank_id: int, name: str) -> int | None:
    return session.scalar(
        select(GroupRow.id).where(GroupRow.tank_id == tank_id, GroupRow.folded == folded(name))
    )


def _check_twin(session: Session, tank_id: int, name: str) -> None:
    if _named(session, tank_id, name) is not None:
        said = f"There is a group called {name.strip()} already."
        raise Refused(f"{said} More came? Write it under Animals came, left or died.")


def _columns(facts: GroupFacts) -> dict[str, object]:
    name = required(facts.name, "Enter the name of the animals.")
    if facts.band not in BANDS:
        raise Refused("Choose where in the water they live.")
    if facts.adult_cm is not None and not facts.adult_cm > 0:
        raise Refused("Enter how long they grow in cm, or leave it empty.")
    return {
        "name": name,
        "folded": folded(name),
        "band": facts.band,
        "adult_cm": facts.adult_cm,
        "species": optional(facts.species, _SPECIES),
    }
