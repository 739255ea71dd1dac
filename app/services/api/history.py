"""Pages of a tank's history for programs: no names, no notes, no loss that pupils do not know."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.domain.quantities import Quantity
from app.domain.records import EntryKind
from app.services.entries import zone_of
from app.services.story import KINDS
from app.storage.models.water import Reading
from app.storage.queries import entries as rows
from app.storage.queries import programs
from app.storage.queries.programs import Asked, Key

__all__ = ["Asked", "EntriesPage", "EntryRow", "Key", "ReadingRow", "ReadingsPage"]


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """A reading in the kept unit, the kind of its entry, and the kind of who did it."""

    reading: Reading
    entry_kind: EntryKind
    by: str


@dataclass(frozen=True, slots=True)
class ReadingsPage:
    """Readings, the newest first; `older` is the key of the next page."""

    rows: tuple[ReadingRow, ...]
    older: Key | None
    zone: str


@dataclass(frozen=True, slots=True)
class EntryRow:
    """An entry with its detail and readings, and the kind of who did it.

    A logger's readings are counted in its detail and not listed.
    """

    entry: Any
    detail: Any
    readings: tuple[Reading, ...]
    by: str


@dataclass(frozen=True, slots=True)
class EntriesPage:
    """Entries, the newest first; `older` is the key of the next page.

    `groups` are the names of the tank's groups of animals by number.
    """

    rows: tuple[EntryRow, ...]
    older: Key | None
    zone: str
    groups: dict[int, str]


def readings(
    session: Session, tank_id: int, quantities: Collection[Quantity], asked: Asked
) -> ReadingsPage:
    """A page of the readings that count; no quantity named means all.

    Raises:
        NotFound: If there is no such tank.
    """
    zone = zone_of(session, tank_id)
    found = programs.readings(session, tank_id, quantities or tuple(Quantity), _one_more(asked))
    page = [ReadingRow(row.Reading, EntryKind(row.kind), row.by) for row in found[: asked.limit]]
    last = page[-1].reading if len(found) > asked.limit else None
    return ReadingsPage(tuple(page), None if last is None else (last.at, last.id), zone)


def entries(
    session: Session,
    tank_id: int,
    kinds: Collection[EntryKind],
    asked: Asked,
    *,
    all_of: bool = False,
) -> EntriesPage:
    """A page of the entries that count, or of `all_of` them; no kind named means all kinds.

    Raises:
        NotFound: If there is no such tank.
    """
    zone = zone_of(session, tank_id)
    wanted = frozenset(kinds or KINDS) & KINDS
    found = programs.entries(session, tank_id, wanted, _one_more(asked), all_of=all_of)
    page = _with_details(session, found[: asked.limit])
    last = page[-1].entry if len(found) > asked.limit else None
    older = None if last is None else (last.happened_at, last.id)
    return EntriesPage(page, older, zone, rows.group_names(session, tank_id))


def entry(session: Session, tank_id: int, entry_id: int) -> EntriesPage:
    """One entry, also one that no longer counts, as a page of its own.

    Raises:
        NotFound: If the tank has no such entry, or pupils were not told of it.
    """
    found = programs.entry(session, tank_id, entry_id)
    if found is None:
        raise NotFound("This tank has no such entry.")
    zone = zone_of(session, tank_id)
    groups = rows.group_names(session, tank_id)
    return EntriesPage(_with_details(session, [found]), None, zone, groups)


def _one_more(asked: Asked) -> Asked:
    """One row more than the page holds tells whether there is a next one."""
    return Asked(since=asked.since, until=asked.until, before=asked.before, limit=asked.limit + 1)


def _with_details(session: Session, found: Sequence[Any]) -> tuple[EntryRow, ...]:
    heads = [row.Entry for row in found]
    details = rows.details(session, heads)
    listed = [head.id for head in heads if head.kind != EntryKind.LOGGER.value]
    readings = rows.readings_of(session, listed)
    return tuple(
        EntryRow(row.Entry, details[row.Entry.id], tuple(readings.get(row.Entry.id, ())), row.by)
        for row in found
    )
