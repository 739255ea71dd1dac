"""Rows to the frozen records of the domain, one function per record."""

import functools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, TypeVar

from app.domain.kit import Kit
from app.domain.quantities import Quantity
from app.domain.records import (
    EntryKind,
    Feeding,
    Job,
    JobKind,
    Observation,
    Reading,
    Rinse,
    Sign,
    StockEvent,
    StockEventKind,
    Treated,
    Treatment,
    WaterTest,
)
from app.domain.tube import Seen, Tube
from app.domain.wording import listed
from app.storage.models.kit import Kit as KitRow
from app.storage.models.water import Reading as ReadingRow

Record = TypeVar("Record")

OF_A_READING = (
    ReadingRow.id, ReadingRow.entry_id, ReadingRow.tank_id, ReadingRow.quantity, ReadingRow.at,
    ReadingRow.value, ReadingRow.low, ReadingRow.high, ReadingRow.typed, ReadingRow.unit,
    ReadingRow.basis, ReadingRow.kit_id, ReadingRow.reader_id, ReadingRow.reader,
)  # fmt: skip
"""The columns that `reading` reads."""


def same_names(record: type[Record], row: Any, **other: Any) -> Record:
    """A record whose fields are columns of the same names; `other` gives those that are not.

    The fields are read from the row as they are: no field of such a record is an enum.
    """
    names = (name for name in _field_names(record) if name not in other)  # type: ignore[arg-type]
    return record(**{name: getattr(row, name) for name in names}, **other)


@functools.cache
def _field_names(record: type[Any]) -> tuple[str, ...]:
    return tuple(f.name for f in fields(record))


@dataclass(frozen=True, slots=True)
class Split:
    """Entries by kind, each ascending in time."""

    feedings: tuple[Feeding, ...]
    tests: tuple[WaterTest, ...]
    jobs: tuple[Job, ...]
    stock_events: tuple[StockEvent, ...]
    observations: tuple[Observation, ...]


def _header(row: Any) -> dict[str, Any]:
    return {
        "id": row.id,
        "happened_at": row.happened_at,
        "local_day": row.local_day,
        "recorded_at": row.recorded_at,
        "author": row.author,
        "done_by": row.hands or "",
        "by_adult": row.author_kind == "adult" and row.hands in (None, row.author),
        "reason": row.reason,
        "replaces": row.replaces_id,
    }


def split(rows: Iterable[Any], group_names: Mapping[int, str]) -> Split:
    """The entries of one tank by kind; `rows` carry header, details and names."""
    feedings, tests, jobs, events, looks = [], [], [], [], []
    for row in rows:
        head, kind = _header(row), row.kind
        if kind == EntryKind.FEEDING:
            feedings.append(
                Feeding(
                    **head,
                    scoops=row.Feeding.scoops,
                    grams=row.Feeding.grams,
                    amount_words=row.Feeding.amount_words,
                    left_over=row.Feeding.left_over,
                    minutes_to_eat=row.Feeding.minutes_to_eat,
                )
            )
        elif kind == EntryKind.WATER_TEST:
            tests.append(WaterTest(**head, note=row.WaterTest.note))
        elif kind == EntryKind.JOB:
            jobs.append(_job(head, row.Job, row.Treatment))
        elif kind == EntryKind.STOCK_EVENT:
            events.append(_stock_event(head, row.StockEvent, group_names))
        elif kind == EntryKind.OBSERVATION and row.Observation.is_look:
            looks.append(_look(head, row.Observation))
    return Split(tuple(feedings), tuple(tests), tuple(jobs), tuple(events), tuple(looks))


def _job(head: dict[str, Any], row: Any, treatment: Any) -> Job:
    return Job(
        **head,
        job=JobKind(row.job),
        liters_out=row.liters_out,
        liters_in=row.liters_in,
        treated=Treated(row.treated) if row.treated else None,
        new_water_c=row.new_water_c,
        rinse=Rinse(row.rinse) if row.rinse else None,
        media_share=row.media_share,
        mg_per_l=row.mg_per_l,
        grams=row.grams,
        plant_id=row.plant_id,
        step=row.step,
        treatment=None if treatment is None else same_names(Treatment, treatment),
        note=row.note,
    )


def _stock_event(head: dict[str, Any], row: Any, names: Mapping[int, str]) -> StockEvent:
    return StockEvent(
        **head,
        what=StockEventKind(row.what),
        group_id=row.group_id,
        group_name=names.get(row.group_id, ""),
        count=row.count,
        batch_id=row.batch_id,
        length_cm=row.length_cm,
        apart_days=row.apart_days,
        hidden=row.hidden,
        note=row.note,
    )


def _look(head: dict[str, Any], row: Any) -> Observation:
    return Observation(
        **head,
        seen=row.seen,
        expected=row.expected,
        lid_closed=row.lid_closed,
        plug_on=row.plug_on,
        breathing_calm=row.breathing_calm,
        algae=row.algae,
        signs=tuple(Sign(s) for s in row.signs.split()),
        note=row.note,
    )


def kit(row: KitRow) -> Kit:
    """A kit; its steps ascend."""
    return Kit(
        id=row.id,
        quantity=Quantity(row.quantity),
        name=row.name,
        unit=row.unit,
        basis=row.basis,
        steps=tuple(sorted(float(s) for s in row.steps.split())),
        opened_on=row.opened_on,
        expires_on=row.expires_on,
        retired_on=row.retired_on,
        lot=row.lot,
        next_check_on=row.next_check_on,
    )


def _tube(rows: Sequence[Any]) -> Tube:
    return Tube(tuple(Seen(r.value, r.low, r.high, r.typed, r.reader, r.reader_id) for r in rows))


def reading(rows: Sequence[Any], kits: Mapping[int, Kit]) -> Reading:
    """What one or several readers of one tube saw, as one reading."""
    first = rows[0]
    used = kits.get(first.kit_id) if first.kit_id is not None else None
    tube = None if len(rows) == 1 else _tube(rows)
    whole = first if tube is None else tube
    expired = used is not None and used.expires_on is not None
    return Reading(
        id=first.id,
        entry_id=first.entry_id,
        quantity=Quantity(first.quantity),
        at=first.at,
        value=whole.value,
        low=whole.low,
        high=whole.high,
        typed=listed([r.typed for r in rows]),
        unit=first.unit,
        basis=first.basis,
        kit_id=first.kit_id,
        reader=listed([r.reader for r in rows if r.reader]),
        tube=tube,
        kit_doubtful=bool(
            expired and used and used.expires_on and first.at.date() > used.expires_on
        ),
    )
