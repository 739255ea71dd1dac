"""A data package becomes a record again: every row as it was, into a record without tanks."""

import csv
import hashlib
import io
import json
import re
import zoneinfo
from collections.abc import Iterator
from pathlib import Path
from secrets import token_hex
from typing import Any, Final

from sqlalchemy import Table, exists, func, insert, select, text
from sqlalchemy.exc import DataError, IntegrityError
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.photo import MOST_BYTES, is_made_anew, made_anew
from app.domain.records import EntryKind
from app.services.exchange import tables
from app.services.exchange.package import DESCRIPTION, file_of, picture_file
from app.services.exchange.values import value_of
from app.services.exchange.zips import Unpacking
from app.services.transaction import finish
from app.storage import schema
from app.storage.base import Base
from app.storage.file import Progress, no_progress
from app.storage.models.entry import Entry
from app.storage.models.maintenance import Job
from app.storage.models.site import Site
from app.storage.models.water import Reading
from app.storage.queries import logger_days

_NAMES: Final = re.compile(r"datapackage\.json|data/[a-z_]{1,40}\.csv|photos/[0-9]{1,18}\.jpg")
_LONGEST_DESCRIPTION: Final = 1024 * 1024
_ROWS_AT_ONCE: Final = 1000
# what a record without tanks may hold: its place, and who has signed in
_MAY_BE_THERE: Final = frozenset({"site", "person", "author", "tank_access"})


def take_in(session: Session, file: Path, *, progress: Progress = no_progress) -> dict[str, int]:
    """Bring all rows and pictures of a package into a record without tanks.

    Who was signed in or had an invitation has to come in anew: `sillpond link` makes a link.
    Links that the package knows are closed, and everybody chooses a new passphrase.

    Args:
        session: A writing session.
        file: The package.
        progress: Called with (tables done, tables in all).

    Returns:
        The number of rows by table.

    Raises:
        Refused: If the record is not empty, or the file is no whole package that this version
            can read. Nothing is changed then.
    """
    _refuse_filled(session)
    counts: dict[str, int] = {}
    with Unpacking(file, _NAMES) as packed:
        digests = _described(packed)
        try:
            _clear(session)
            for done, table in enumerate(tables.TABLES):
                progress(done, len(tables.TABLES))
                counts[table.name] = _fill(session, table, packed, digests)
            _check(session)
            logger_days.summarize_all(session)
        except (DataError, IntegrityError) as error:
            session.rollback()
            raise _refused(f"does not fit together: {error.orig}") from None
        except BaseException:
            session.rollback()
            raise
    _count_on(session)
    logger_days.summarize_all(session)
    finish(session)
    progress(len(tables.TABLES), len(tables.TABLES))
    return counts


def _refused(why: str) -> Refused:
    return Refused(f"The package {why}. Nothing was changed.")


def _refuse_filled(session: Session) -> None:
    for table in tables.TABLES:
        if table.name not in _MAY_BE_THERE and session.scalar(select(exists().select_from(table))):
            raise Refused(
                "This record holds something already. A package comes into an empty one: name "
                "another folder in SILLPOND_DATA. Nothing was changed."
            )


def _clear(session: Session) -> None:
    for table in reversed(Base.metadata.sorted_tables):
        session.execute(table.delete())


def _described(packed: Unpacking) -> dict[str, str]:
    """The digests of the tables by the names of their files."""
    if DESCRIPTION not in packed.names:
        raise _refused("has no description")
    try:
        about = json.loads(packed.read(DESCRIPTION, _LONGEST_DESCRIPTION))
        revision = about["sillpond"]["revision"]
        digests = {
            each["path"]: each["hash"].removeprefix("sha256:") for each in about["resources"]
        }
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise _refused("has no description that can be read") from None
    if revision not in schema.known_revisions():
        raise _refused("was written by a newer Sillpond, or by another program")
    files = {name for name in packed.names if name.startswith("data/")}
    if files != set(digests) or not files <= {file_of(table) for table in tables.TABLES}:
        raise _refused("holds other tables than it says, or than a record has")
    return digests


def _fill(session: Session, table: Table, packed: Unpacking, digests: dict[str, str]) -> int:
    path = file_of(table)
    if path not in digests:
        return 0
    count, chunk = 0, []
    for row in _rows(table, packed, digests[path]):
        _complete(table, row, packed)
        chunk.append(row)
        # a picture has a megabyte: those go one by one
        if len(chunk) == (1 if table.name == "photo" else _ROWS_AT_ONCE):
            session.execute(insert(table), chunk)
            count, chunk = count + len(chunk), []
    if chunk:
        session.execute(insert(table), chunk)
    return count + len(chunk)


def _rows(table: Table, packed: Unpacking, digest: str) -> Iterator[dict[str, Any]]:
    """The rows of one file of the package, each value looked at."""
    known = {column.name: column for column in tables.columns(table)}
    stream = packed.open(file_of(table))
    with io.TextIOWrapper(io.BufferedReader(stream), encoding="utf-8", newline="") as content:
        lines = csv.reader(content, strict=True)
        try:
            names = next(lines, [])
            if len(set(names)) != len(names) or not set(names) <= set(known):
                raise _refused(f"has other columns in {table.name} than a record has")
            for cells in lines:
                if len(cells) != len(names):
                    raise _refused(f"has a row of another length in {table.name}")
                yield {
                    n: _value(known[n], c, lines.line_num)
                    for n, c in zip(names, cells, strict=True)
                }
        except (csv.Error, UnicodeDecodeError):
            raise _refused(f"cannot be read in {table.name}, line {lines.line_num + 1}") from None
        if stream.digest != digest:
            raise _refused(f"was changed after it was written: {table.name} is another one")


def _value(column: Any, cell: str, line: int) -> Any:
    try:
        return value_of(column, cell)
    except ValueError as why:
        where = f"{column.table.name}, line {line}, {column.name}"
        raise _refused(f"cannot be read: {where}: {cell[:40]!r} {why}") from None


def _complete(table: Table, row: dict[str, Any], packed: Unpacking) -> None:
    """Add what stays out of a package."""
    if table.name == "link":
        # of a token that nobody has
        row["token_hash"] = token_hex(32)
    elif table.name == "photo":
        name = picture_file(row["id"])
        row["picture"] = row["small"] = None
        if name in packed.names:
            picture = packed.read(name, MOST_BYTES)
            if hashlib.sha256(picture).hexdigest() != row["sha256"] or not is_made_anew(
                picture, row["width"], row["height"]
            ):
                raise _refused(f"holds another picture than it says: {name}")
            row["picture"], row["small"] = picture, made_anew(picture).small


def _check(session: Session) -> None:
    """Hold together what no rule of the tables does."""
    odd = (
        select(Reading.id).join(Entry).where(Reading.tank_id != Entry.tank_id),
        select(Job.entry_id).join(Entry, Entry.id == Job.entry_id).where(
            (Job.tank_id != Entry.tank_id) | (Job.happened_at != Entry.happened_at)
        ),
        *(_without_detail(kind) for kind in EntryKind),
    )  # fmt: skip
    for query in odd:
        if session.scalar(query.limit(1)) is not None:
            raise _refused("does not fit together: a part of an entry is not of that entry")
    known = zoneinfo.available_timezones()
    for zone in session.scalars(select(Site.zone)):
        if zone not in known:
            raise _refused(f"has a time zone that is not known here: {zone[:40]!r}")


def _without_detail(kind: EntryKind) -> Any:
    # the table of a kind has its name
    detail = Base.metadata.tables[kind.value]
    has_one = exists().where(detail.c.entry_id == Entry.id)
    return select(Entry.id).where(Entry.kind == kind.value, ~has_one)


def _count_on(session: Session) -> None:
    """Let new rows have numbers after those that came in."""
    if session.get_bind().dialect.name != "postgresql":
        return
    for table in tables.TABLES:
        if "id" in table.c:
            last = session.scalar(select(func.max(table.c.id)))
            if last is not None:
                session.execute(
                    text("SELECT setval(pg_get_serial_sequence(:name, 'id'), :last)"),
                    {"name": table.name, "last": last},
                )
