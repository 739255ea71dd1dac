"""Files that came in: their batches, and what of them stands in the record."""

from collections.abc import Collection, Iterator, Sequence
from datetime import date, datetime
from typing import Any, cast

from sqlalchemy import String, Table, func, insert, literal, select, update
from sqlalchemy.orm import Session

from app.domain.records import EntryKind, EntryStatus
from app.storage.base import Base
from app.storage.models.access import Author
from app.storage.models.entry import Entry, Withdrawal
from app.storage.models.exchange import ImportBatch, ImportEntry
from app.storage.models.water import Reading

_AT_ONCE = 2000


def _table(model: type[Base]) -> Table:
    """The table itself: many rows go in without an object for each."""
    return cast("Table", model.__table__)


def batch_of(session: Session, tank_id: int, token: str) -> ImportBatch | None:
    """The import that a form brought in before, or None."""
    return session.scalar(
        select(ImportBatch).where(ImportBatch.tank_id == tank_id, ImportBatch.token == token)
    )


def batches(session: Session, tank_id: int) -> Sequence[Any]:
    """The imports of a tank as (batch, who, entries in force), the newest first."""
    standing = (
        select(func.count())
        .select_from(ImportEntry)
        .join(Entry, Entry.id == ImportEntry.entry_id)
        .where(ImportEntry.batch_id == ImportBatch.id, Entry.status == EntryStatus.OK.value)
        .scalar_subquery()
    )
    return session.execute(
        select(ImportBatch, Author.shown, standing)
        .join(Author, Author.id == ImportBatch.author_id)
        .where(ImportBatch.tank_id == tank_id)
        .order_by(ImportBatch.id.desc())
    ).all()


def digests(session: Session, tank_id: int) -> Iterator[str]:
    """The digests of all that came with a file, but for imports that were taken back."""
    query = (
        select(Entry.digest)
        .join(ImportEntry, ImportEntry.entry_id == Entry.id)
        .join(ImportBatch, ImportBatch.id == ImportEntry.batch_id)
        .where(ImportBatch.tank_id == tank_id, ImportBatch.undone_at.is_(None))
    )
    return iter(session.scalars(query.execution_options(yield_per=_AT_ONCE)))


def logged(
    session: Session, tank_id: int, quantities: Collection[str]
) -> Iterator[tuple[str, datetime]]:
    """Quantity and moment of all readings of devices that are in force."""
    query = (
        select(Reading.quantity, Reading.at)
        .join(Entry, Entry.id == Reading.entry_id)
        .where(
            Reading.tank_id == tank_id,
            Reading.quantity.in_(quantities),
            Reading.in_force.is_(True),
            Entry.kind == EntryKind.LOGGER.value,
        )
    )
    found = session.execute(query.execution_options(yield_per=_AT_ONCE))
    return ((quantity, at) for quantity, at in found)


def put_entries(session: Session, headers: Sequence[dict[str, Any]]) -> list[int]:
    """Insert headers of entries of one tank, which is locked; returns their ids in that order.

    Ids ascend in the order of the rows. Asking for each by RETURNING would be a statement a row.
    """
    if not headers:
        return []
    last = session.scalar(select(func.max(Entry.id))) or 0
    put(session, Entry, headers)
    tank_id = headers[0]["tank_id"]
    found = session.execute(
        select(Entry.id, Entry.tank_id).where(Entry.id > last).order_by(Entry.id)
    )
    # where several write at once, other tanks' entries may lie between
    return [entry_id for entry_id, of_tank in found if of_tank == tank_id]


def put(session: Session, table: type[Base], rows: Sequence[dict[str, Any]]) -> None:
    """Insert many rows of one table that name the same columns."""
    if rows:
        session.execute(insert(_table(table)), rows)


def keep_apart(session: Session, batch: ImportBatch, ids: Sequence[int]) -> None:
    """Keep which entries came with an import: ids of one tank, which is locked, as they ascend."""
    if ids:
        entry = _table(Entry)
        came = entry.c.id.between(ids[0], ids[-1]), entry.c.tank_id == batch.tank_id
        pairs = select(literal(batch.id), entry.c.id).where(*came)
        table = _table(ImportEntry)
        session.execute(insert(table).from_select(["batch_id", "entry_id"], pairs))


def first_day(session: Session, batch_id: int) -> date | None:
    """The first local day of what came with an import, or None."""
    query = select(func.min(Entry.local_day)).join(ImportEntry, ImportEntry.entry_id == Entry.id)
    return session.scalar(query.where(ImportEntry.batch_id == batch_id))


def take_back(session: Session, batch_id: int, header: dict[str, Any]) -> int:
    """Take back all entries of an import that are in force; returns how many.

    `header` holds what the entries that do it have in common. However long the import is, there
    are four statements.
    """
    entry, withdrawal = _table(Entry), _table(Withdrawal)
    of_batch = select(ImportEntry.entry_id).where(ImportEntry.batch_id == batch_id)
    standing = entry.c.id.in_(of_batch), entry.c.status == EntryStatus.OK.value
    token = literal("withdraw-") + entry.c.id.cast(String)
    fixed = [literal(value, entry.c[name].type) for name, value in header.items()]
    session.execute(
        insert(entry).from_select(
            ["token", "status", *header],
            select(token, literal(EntryStatus.OK.value), *fixed).where(*standing),
        )
    )
    targets = select(entry.c.id, token.label("token")).where(*standing).subquery()
    kind = literal(EntryKind.WITHDRAWAL.value)
    session.execute(
        insert(withdrawal).from_select(
            ["entry_id", "kind", "target_id"],
            select(entry.c.id, kind, targets.c.id)
            .join(targets, targets.c.token == entry.c.token)
            .where(entry.c.tank_id == header["tank_id"]),
        )
    )
    ids = select(entry.c.id).where(*standing)
    session.execute(update(Reading).where(Reading.entry_id.in_(ids)).values(in_force=False))
    done = session.execute(
        update(Entry).where(*standing).values(status=EntryStatus.WITHDRAWN.value)
    )
    return int(done.rowcount)  # type: ignore[attr-defined]
