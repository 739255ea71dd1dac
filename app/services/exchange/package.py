"""The record as a data package: one CSV a table, the pictures, and a description of them all.

The format is that of the Frictionless Data Package, version 1 (source `data-package`): what a
column holds, which values it may have and to which table it refers stands in `datapackage.json`.
Equal records give equal bytes: rows go by their keys, numbers are written so that they come back
as they were, and nothing but the record decides what is in the file.
"""

import csv
import io
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import IO, Any, Final

from sqlalchemy import Column, Select, Table, select
from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.services.exchange import description, tables
from app.services.exchange.codes import Codes, codes_of
from app.services.exchange.values import cell
from app.services.exchange.zips import Counted, Packing
from app.storage import schema
from app.storage.base import TEXTS, Base
from app.storage.file import Progress, no_progress
from app.storage.models.access import Author
from app.storage.models.notebook import Photo
from app.storage.models.tank import Tank

DESCRIPTION: Final = "datapackage.json"
_PHOTO: Final = Base.metadata.tables["photo"]


def write(
    session: Session,
    target: IO[bytes],
    *,
    tank_id: int | None = None,
    now: datetime,
    progress: Progress = no_progress,
) -> dict[str, int]:
    """Write the package of one tank, or of the whole record, as a ZIP file.

    Args:
        session: A reading session, in which nothing was read yet.
        target: Where the bytes go.
        tank_id: The tank; None for all.
        now: The present moment; links that are open are closed by it in the package.
        progress: Called with (tables done, tables in all).

    Returns:
        The number of rows by table.

    Raises:
        NotFound: If there is no such tank.
    """
    hold_moment(session)
    name = _name(session, tank_id)
    writer = _Writer(session, codes_of(session), now, tank_id)
    resources, counts = [], {}
    with Packing(target) as packing:
        for done, table in enumerate(tables.TABLES):
            progress(done, len(tables.TABLES))
            path = file_of(table)
            with packing.file(path) as file:
                counts[table.name] = writer.table(table, file)
            resources.append(
                description.resource(table, path, file.size, file.digest, counts[table.name])
            )
        _pictures(session, packing, tank_id)
        about = description.package(name, schema.newest_revision(), resources)
        text = json.dumps(about, ensure_ascii=False, indent=1) + "\n"
        packing.add(DESCRIPTION, text.encode())
    progress(len(tables.TABLES), len(tables.TABLES))
    return counts


def file_of(table: Table) -> str:
    """The name of a table's file in the package."""
    return f"data/{table.name}.csv"


def picture_file(photo_id: int) -> str:
    """The name of a picture's file in the package."""
    return f"photos/{photo_id}.jpg"


def hold_moment(session: Session) -> None:
    """Let everything that one session reads be of one moment; nothing may be read before."""
    if session.get_bind().dialect.name == "postgresql" and not session.in_transaction():
        # a transaction of SQLite sees one moment anyway
        session.connection(execution_options={"isolation_level": "REPEATABLE READ"})


def _name(session: Session, tank_id: int | None) -> str:
    if tank_id is None:
        return "All tanks"
    found = session.scalar(select(Tank.name).where(Tank.id == tank_id))
    if found is None:
        raise NotFound("There is no such tank.")
    return found


@dataclass
class _Writer:
    """Writes table after table; remembers which rows went, so that nothing refers to others."""

    session: Session
    codes: Codes
    now: datetime
    tank_id: int | None
    gone: dict[str, set[int]] = field(default_factory=dict)
    authors: Mapping[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        rows = self.session.execute(
            select(Author.helper_id, Author.id).where(Author.helper_id.is_not(None))
        )
        self.authors = {helper_id: author_id for helper_id, author_id in rows if helper_id}

    def table(self, table: Table, file: Counted) -> int:
        """Write one table; returns the number of its rows."""
        going = tables.columns(table)
        names = [column.name for column in going]
        text = io.TextIOWrapper(io.BufferedWriter(file), encoding="utf-8", newline="")
        lines = csv.writer(text)
        lines.writerow(names)
        count = 0
        for row in self._rows(table, names):
            lines.writerow([cell(row[c.name]) for c in going])
            count += 1
        text.flush()
        text.detach().detach()
        return count

    def _rows(self, table: Table, names: Sequence[str]) -> Iterator[dict[str, Any]]:
        query: Select[Any] = tables.rows(table, self.tank_id).execution_options(yield_per=1000)
        referring = tables.references(table)
        kept = self.gone.setdefault(table.name, set()) if tables.is_referred_to(table) else None
        texts = [c for c in tables.columns(table) if tables.is_free_text(c)]
        for values in self.session.execute(query):
            row = dict(zip(names, values, strict=True))
            if not self._cut(row, referring):
                continue
            for column in texts:
                row[column.name] = self._coded(column, row[column.name])
            self._hide(table, row)
            if kept is not None:
                kept.add(row["id"])
            yield row

    def _cut(self, row: dict[str, Any], referring: Sequence[tuple[Column[Any], str]]) -> bool:
        """Empty what refers to a row that stays here; False where the row cannot be without."""
        for column, other in referring:
            value = row.get(column.name)
            if value is not None and value not in self.gone[other]:
                if not column.nullable:
                    return False
                row[column.name] = None
        return True

    def _coded(self, column: Column[Any], text: str) -> str:
        longest = column.type.length if isinstance(column.type, TEXTS) else None
        return self.codes.text(text)[:longest]

    def _hide(self, table: Table, row: dict[str, Any]) -> None:
        if table.name == "author":
            row["name"] = self.codes.name(row["id"], row["name"])
        elif table.name == "helper":
            row["nickname"] = self.codes.name(self.authors.get(row["id"]), row["nickname"])
        elif table.name == "link":
            row["ended_at"] = row["ended_at"] or self.now


def _pictures(session: Session, packing: Packing, tank_id: int | None) -> None:
    ids = session.scalars(select(tables.rows(_PHOTO, tank_id).subquery().c.id).order_by("id")).all()
    for photo_id in ids:
        content = session.scalar(select(Photo.picture).where(Photo.id == photo_id))
        if content is not None:
            packing.add(picture_file(photo_id), content, compress=False)
