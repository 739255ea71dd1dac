"""Rows of the record as programs are told of them."""

from typing import Any, cast
from zoneinfo import ZoneInfo

from app.domain.quantities import FACTS, Quantity
from app.domain.records import EntryKind, JobKind, Rinse, Sign, StockEventKind, Treated
from app.services.api.history import EntryRow
from app.web.api import said

_PROGRAM = "program"


def reading_said(reading: Any, kind: EntryKind, by: str, zone: ZoneInfo) -> said.Reading:
    """A reading in the kept unit of its quantity, on the clock of its tank."""
    facts = FACTS[Quantity(reading.quantity)]
    return said.Reading(
        id=reading.id,
        entry_id=reading.entry_id,
        entry_kind=_kind(kind),
        by=_by(by),
        at=reading.at.astimezone(zone),
        quantity=facts.quantity,
        value=reading.value,
        low=reading.low,
        high=reading.high,
        unit=facts.unit,
        basis=facts.basis,
        typed=reading.typed,
        typed_unit=reading.unit,
        typed_basis=reading.basis,
    )


def entry_said(row: EntryRow, groups: dict[int, str], zone: ZoneInfo) -> said.Entry:
    """An entry; `groups` are the names of its tank's groups by number."""
    entry = row.entry
    kind = EntryKind(entry.kind)
    return said.Entry(
        id=entry.id,
        kind=_kind(kind),
        happened_at=entry.happened_at.astimezone(zone),
        recorded_at=entry.recorded_at.astimezone(zone),
        local_day=entry.local_day,
        status=entry.status,
        replaces=entry.replaces_id,
        by=_by(row.by),
        detail=_detail(kind, row.detail, groups),
        readings=tuple(reading_said(each, kind, row.by, zone) for each in row.readings),
    )


def _kind(kind: EntryKind) -> said.KindName:
    return cast("said.KindName", kind.value)


def _by(kind: str) -> said.By:
    return cast("said.By", _PROGRAM if kind == "token" else kind)


def _detail(kind: EntryKind, row: Any, groups: dict[int, str]) -> said.Detail | None:
    match kind:
        case EntryKind.FEEDING:
            return said.FeedingDetail(
                scoops=row.scoops,
                grams=row.grams,
                left_over=row.left_over,
                minutes_to_eat=row.minutes_to_eat,
            )
        case EntryKind.LOGGER:
            return said.LoggerDetail(reading_count=row.rows)
        case EntryKind.JOB:
            return _job(row)
        case EntryKind.STOCK_EVENT:
            return said.StockEventDetail(
                what=StockEventKind(row.what),
                group=groups.get(row.group_id, ""),
                count=row.count,
                length_cm=row.length_cm,
            )
        case EntryKind.OBSERVATION if row.is_look:
            return said.LookDetail(
                seen=row.seen,
                lid_closed=row.lid_closed,
                plug_on=row.plug_on,
                breathing_calm=row.breathing_calm,
                algae=row.algae,
                signs=tuple(Sign(sign) for sign in row.signs.split()),
            )
        case _:
            return None


def _job(row: Any) -> said.JobDetail:
    return said.JobDetail(
        job=JobKind(row.job),
        liters_out=row.liters_out,
        liters_in=row.liters_in,
        treated=Treated(row.treated) if row.treated else None,
        new_water_c=row.new_water_c,
        rinse=Rinse(row.rinse) if row.rinse else None,
    )
