"""A file for downloading is made for one person at a time, and leaves nothing behind."""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from app.domain.errors import Conflict
from app.services.exchange import outgoing
from app.services.installation import keeping
from app.storage.engine import Database
from tests.record import MONDAY, empty_database, opened_again
from tests.services.record_files import contents, filled


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    made = empty_database(tmp_path)
    yield made
    made.close()


@pytest.fixture
def elsewhere(database: Database) -> Iterator[Database]:
    """The same record in another process, on another host where it lies on a server."""
    other = opened_again(database)
    yield other
    other.close()


def test_nobody_has_two_files_made_at_once(
    tmp_path: Path, database: Database, elsewhere: Database
) -> None:
    alone = database.engine.dialect.name == "sqlite"
    other_folder = tmp_path if alone else tmp_path / "other host"
    began, go_on = threading.Event(), threading.Event()

    def slow(target: object) -> None:
        began.set()
        assert go_on.wait(30)

    first = threading.Thread(target=lambda: outgoing.made(database, tmp_path, 1, slow).close())
    first.start()
    assert began.wait(30)
    try:
        with pytest.raises(Conflict, match="Wait"):
            outgoing.made(elsewhere, other_folder, 1, lambda target: None)
        outgoing.made(elsewhere, other_folder, 2, lambda target: None).close()
    finally:
        go_on.set()
        first.join()
    with outgoing.made(elsewhere, other_folder, 1, lambda target: target.write(b"x")) as file:
        assert file.read() == b"x"


def test_what_went_wrong_does_not_stand_in_the_way_of_the_next(
    tmp_path: Path, database: Database
) -> None:
    with pytest.raises(OSError, match="full"):
        outgoing.made(database, tmp_path, 1, _disk_full)
    outgoing.made(database, tmp_path, 1, lambda target: None).close()
    left = {p.suffix for p in (tmp_path / "outgoing").iterdir()}
    assert left <= {".lock"}


def _disk_full(_target: object) -> None:
    raise OSError("disk full")


@pytest.mark.sqlite_only("a backup is a file")
def test_a_backup_that_was_downloaded_is_the_whole_record(tmp_path: Path) -> None:
    record, settings = filled(tmp_path / "data")
    file = outgoing.made(
        record.database,
        settings.data_folder,
        1,
        lambda target: outgoing.backup(settings, target, now=MONDAY),
    )
    target = tmp_path / "downloaded.sqlite"
    with closing(file):
        target.write_bytes(file.read())
    record.database.close()
    assert contents(target) == contents(settings.database_file)
    assert keeping.report_on(target).is_whole
    with closing(sqlite3.connect(target)) as connection:
        assert connection.execute("SELECT count(*) FROM backup_note").fetchone()[0]
