"""The record as a file: read without writing, examined, and copied whole while it is in use."""

import hashlib
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import quote

from app.domain.errors import Refused

_SMALLEST_BYTES = 512  # one page of the least size, SQLite "Database File Format", section 1.2
_DAMAGE = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}
NOTE_TABLE = "backup_note"
Progress = Callable[[int, int], None]
"""Called with what is done and the whole, in any one unit."""


def no_progress(_done: int, _whole: int) -> None:
    """Tell nobody."""


def uri_of(file: Path) -> str:
    """The address under which SQLite opens a file for reading only."""
    return f"file:{quote(str(file.resolve()))}?mode=ro"


@contextmanager
def reading(file: Path) -> Iterator[sqlite3.Connection]:
    """A connection that cannot write and trusts nothing in the file.

    SQLite, "Defense Against the Dark Arts", section 1.2: how to read a database of others. The
    file is opened by SQLite alone, for this process may be serving it: "How To Corrupt An SQLite
    Database File", section 2.2, whoever opens and closes it otherwise drops the server's locks.

    Raises:
        Refused: If the file is no SQLite database or cannot be read, now or later in the block.
    """
    try:
        # SQLite takes a file of no bytes for an empty database
        is_ours = file.stat().st_size >= _SMALLEST_BYTES
        connection = sqlite3.connect(uri_of(file), uri=True, isolation_level=None)
    except (OSError, sqlite3.Error):
        raise Refused(f"{file} cannot be read.") from None
    with closing(connection):
        if not is_ours:
            raise Refused(f"{file} is not a record of this program, or it is damaged.")
        try:
            for pragma in ("trusted_schema=OFF", "cell_size_check=ON", "mmap_size=0"):
                connection.execute(f"PRAGMA {pragma}")
            connection.execute("PRAGMA busy_timeout=8000")
            connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        except (sqlite3.DatabaseError, UnicodeDecodeError):
            raise Refused(f"{file} is not a record of this program, or it is damaged.") from None
        try:
            yield connection
        except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
            if not _is_damage(error):
                raise
            raise Refused(f"{file} is damaged.") from None


def _is_damage(error: Exception) -> bool:
    """Whether an error says that what was read is not as SQLite wrote it."""
    # a spoiled name inside SQLite's own message is no UTF-8
    unread = isinstance(error, UnicodeDecodeError) or "decode" in str(error).casefold()
    code = getattr(error, "sqlite_errorcode", None)
    return unread or (isinstance(code, int) and code & 0xFF in _DAMAGE)


def fault(connection: sqlite3.Connection, *, thorough: bool = False) -> str:
    """The first thing SQLite finds wrong with a file, or an empty text."""
    pragma = "integrity_check" if thorough else "quick_check"
    try:
        (said,) = connection.execute(f"PRAGMA {pragma}(1)").fetchone()
        orphan = connection.execute("PRAGMA foreign_key_check").fetchone() if thorough else None
        cut = _ends_within_a_page(connection)
    except sqlite3.DatabaseError as error:
        return str(error)
    except UnicodeDecodeError:
        return "a name in it cannot be read"
    if said != "ok":
        return str(said)
    if cut:
        return "it ends in the middle of a page"
    return f"a row of {orphan[0]} belongs to nothing" if orphan else ""


def _ends_within_a_page(connection: sqlite3.Connection) -> bool:
    # SQLite reads what is missing of the last page as zeros, and says nothing
    (page_bytes,) = connection.execute("PRAGMA page_size").fetchone()
    (_, _, name), *_ = connection.execute("PRAGMA database_list")
    return bool(name) and Path(name).stat().st_size % page_bytes != 0


def tables(connection: sqlite3.Connection) -> tuple[str, ...]:
    """The names of the tables, without SQLite's own."""
    rows = connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' "
        "ESCAPE '\\' ORDER BY name"
    )
    return tuple(name for (name,) in rows)


def foreign(connection: sqlite3.Connection) -> str:
    """Something in a file that no record has, or "": a trigger, a view, a table that is worked out.

    What only looks like a table has no page of its own; a computed column could be anything.
    """
    odd = connection.execute(
        "SELECT name FROM sqlite_master WHERE type NOT IN ('table', 'index') OR rootpage = 0"
    ).fetchone()
    if odd:
        return str(odd[0])
    for table in tables(connection):
        for row in connection.execute(f"PRAGMA table_xinfo({quoted(table)})"):
            if row[-1]:  # how it is hidden
                return f"{table}.{row[1]}"
    return ""


def columns(connection: sqlite3.Connection, table: str, *, schema: str = "main") -> tuple[str, ...]:
    """The names of a table's columns, hidden and computed ones included."""
    rows = connection.execute(f"PRAGMA {schema}.table_xinfo({quoted(table)})")
    return tuple(row[1] for row in rows)


def quoted(name: str) -> str:
    """A name as it may stand in a statement."""
    return '"' + name.replace('"', '""') + '"'


def revision(connection: sqlite3.Connection) -> str | None:
    """The schema revision that a file was written with, or None."""
    if "alembic_version" not in tables(connection):
        return None
    row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    return str(row[0]) if row else None


def counts(connection: sqlite3.Connection) -> dict[str, int]:
    """How many rows each table holds."""
    return {
        name: connection.execute(f"SELECT count(*) FROM {quoted(name)}").fetchone()[0]  # noqa: S608
        for name in tables(connection)
        if name not in {"alembic_version", NOTE_TABLE}
    }


def digest(connection: sqlite3.Connection, table: str, *, schema: str = "main") -> str:
    """What tells the rows of a table from any others, in whatever order they lie."""
    names = ", ".join(quoted(name) for name in sorted(columns(connection, table, schema=schema)))
    total = 0
    for row in connection.execute(f"SELECT {names} FROM {schema}.{quoted(table)}"):  # noqa: S608
        total += int.from_bytes(hashlib.sha256(repr(row).encode()).digest())
    return f"{total % 2**256:064x}"


def reserve(file: Path) -> None:
    """Make an empty file that only its owner may read; one that is there stays as it is."""
    os.close(os.open(file, os.O_CREAT | os.O_WRONLY, 0o600))


def copy_whole(source: Path, target: Path, progress: Progress = no_progress) -> None:
    """Copy a database as of one moment, also while others write to it.

    `target` is written under another name first: it is there whole, or not at all.

    Raises:
        Refused: If the source cannot be read, the copy is not whole, or there is no room for it.
    """
    unfinished = target.with_name(target.name + ".part")
    unfinished.unlink(missing_ok=True)
    reserve(unfinished)
    try:
        with reading(source) as origin, closing(sqlite3.connect(unfinished)) as copy:
            # in one step: small steps begin anew whenever somebody saves
            origin.backup(
                copy, pages=-1, progress=lambda _s, left, all_: progress(all_ - left, all_)
            )
            copy.execute("PRAGMA journal_mode=DELETE")
            found = fault(copy, thorough=True)
        if found:
            raise Refused(f"The copy is not whole: {found}. The record itself was not touched.")
        put(unfinished, target)
    except sqlite3.OperationalError as error:
        raise Refused(
            f"{target} cannot be written: {error}. The record itself was not touched."
        ) from None
    finally:
        unfinished.unlink(missing_ok=True)


def put(fresh: Path, target: Path) -> None:
    """Put a finished file in its place, so that a power cut leaves the one or the other."""
    with fresh.open("rb+") as handle:
        os.fsync(handle.fileno())
    fresh.replace(target)
    if os.name == "posix":
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
