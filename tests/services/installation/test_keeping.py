"""Keeping the record: opened, upgraded after a copy, copied while it is used, looked over."""

import os
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from app.domain.errors import NotFound, Refused
from app.services import sites, tanks
from app.services.installation import keeping
from app.settings import Settings
from app.storage import schema
from app.storage.engine import Database
from tests.record import MONDAY, ONE_SCOOP, Record
from tests.services.record_files import (
    LATER,
    change,
    contents,
    filled,
    settings_in,
    settle,
    with_one_more_revision,
)

POSIX = os.name == "posix"


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[tuple[Record, Settings]]:
    record, settings = filled(tmp_path / "data")
    yield record, settings
    record.database.close()


def test_a_first_start_makes_a_household_on_this_computers_clock(tmp_path: Path) -> None:
    database = keeping.open_record(
        settings_in(tmp_path / "new" / "folder"), now=MONDAY, zone="Europe/Dublin"
    )
    with database.reading() as session:
        assert sites.place(session, sites.FIRST).zone == "Europe/Dublin"
        assert tanks.tank_lines(session) == ()
    database.close()


@pytest.mark.skipif(not POSIX, reason="folders have no such rights here")
def test_only_the_owner_may_read_the_folder_and_the_files(tmp_path: Path) -> None:
    settings = settings_in(tmp_path / "data")
    keeping.secret_key(settings.data_folder)
    keeping.open_record(settings, now=MONDAY).close()
    rights = {p.name: p.stat().st_mode & 0o777 for p in settings.data_folder.iterdir()}
    assert settings.data_folder.stat().st_mode & 0o777 == 0o700
    assert rights["secret_key"] == 0o600
    assert rights["sillpond.sqlite"] == 0o600


def test_a_second_start_keeps_what_was_set(tmp_path: Path) -> None:
    settings = settings_in(tmp_path)
    database = keeping.open_record(settings, now=MONDAY, zone="Europe/Dublin")
    with database.writing() as session:
        sites.set_site(session, sites.SiteDraft(name="Mill House", zone="Asia/Tokyo"))
    database.close()
    database = keeping.open_record(settings, now=LATER, zone="Europe/Dublin")
    with database.reading() as session:
        known = sites.place(session, sites.FIRST)
        assert (known.name, known.zone) == ("Mill House", "Asia/Tokyo")
    database.close()
    assert not settings.copies_folder.exists(), "nothing was upgraded, so nothing is copied"


def test_the_key_is_random_and_stays(tmp_path: Path) -> None:
    key = keeping.secret_key(tmp_path / "one")
    assert keeping.secret_key(tmp_path / "one") == key
    assert keeping.secret_key(tmp_path / "two") != key
    assert len(key) >= 64


def test_a_key_that_was_cut_short_is_not_used(tmp_path: Path) -> None:
    (tmp_path / "secret_key").write_text("abc")
    with pytest.raises(Refused, match="not whole"):
        keeping.secret_key(tmp_path)


# upgrading


@pytest.fixture
def next_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return with_one_more_revision(tmp_path / "program", monkeypatch)


@pytest.mark.sqlite_only("copies and damage of the file")
def test_an_older_record_is_copied_and_then_upgraded(
    kept: tuple[Record, Settings], next_version: Path
) -> None:
    record, settings = kept
    before = contents(settings.database_file)
    settle(record.database)
    keeping.open_record(settings, now=LATER).close()
    after = contents(settings.database_file)
    assert after.pop("pebble") == []
    assert after == before
    (copy,) = settings.copies_folder.iterdir()
    assert contents(copy) == before
    assert "2027-02-09" in copy.name


@pytest.mark.sqlite_only("copies and damage of the file")
def test_an_upgrade_that_stops_half_way_leaves_the_old_record(
    kept: tuple[Record, Settings], next_version: Path
) -> None:
    record, settings = kept
    before = contents(settings.database_file)
    settle(record.database)
    whole = next_version.read_text()
    next_version.write_text(whole + "    raise RuntimeError('power cut')\n")
    with pytest.raises(RuntimeError, match="power cut"):
        keeping.open_record(settings, now=LATER)
    assert contents(settings.database_file) == before
    next_version.write_text(whole)
    keeping.open_record(settings, now=LATER).close()
    assert "pebble" in contents(settings.database_file)


@pytest.mark.sqlite_only("copies and damage of the file")
def test_a_record_of_a_newer_program_is_left_as_it_is(kept: tuple[Record, Settings]) -> None:
    record, settings = kept
    settle(record.database)
    change(settings.database_file, "UPDATE alembic_version SET version_num = '9999'")
    settle(Database(record.database.engine))
    before = settings.database_file.read_bytes()
    with pytest.raises(Refused) as refused:
        keeping.open_record(settings, now=LATER)
    assert "9999" in str(refused.value)
    assert schema.newest_revision() in str(refused.value)
    assert settings.database_file.read_bytes() == before


# damage


@pytest.mark.sqlite_only("copies and damage of the file")
def test_a_damaged_record_is_not_written_to_and_the_last_copy_is_named(
    kept: tuple[Record, Settings],
) -> None:
    record, settings = kept
    copy = keeping.copy_aside(settings, "before", MONDAY)
    settle(record.database)
    damaged = bytearray(settings.database_file.read_bytes())
    damaged[8192:16384] = b"\xff" * 8192
    settings.database_file.write_bytes(damaged)
    with pytest.raises(Refused, match="damaged") as refused:
        keeping.open_record(settings, now=LATER)
    assert str(copy) in str(refused.value)
    assert settings.database_file.read_bytes() == damaged


@pytest.mark.parametrize("content", [b"These are not the bytes of a database. " * 200, b"x"])
def test_a_file_that_is_no_database_is_left_as_it_is(tmp_path: Path, content: bytes) -> None:
    settings = settings_in(tmp_path)
    settings.database_file.write_bytes(content)
    with pytest.raises(Refused):
        keeping.open_record(settings, now=MONDAY)
    assert settings.database_file.read_bytes() == content


def test_a_database_of_another_program_is_left_as_it_is(tmp_path: Path) -> None:
    settings = settings_in(tmp_path)
    with closing(sqlite3.connect(settings.database_file)) as connection:
        connection.execute("CREATE TABLE recipe (name TEXT)")
    before = settings.database_file.read_bytes()
    with pytest.raises(Refused, match="not written by Sillpond"):
        keeping.open_record(settings, now=MONDAY)
    assert settings.database_file.read_bytes() == before


def test_an_empty_file_is_a_record_that_was_never_begun(tmp_path: Path) -> None:
    settings = settings_in(tmp_path)
    settings.database_file.touch()
    keeping.open_record(settings, now=MONDAY).close()
    assert keeping.check(settings).is_whole


# backing up


@pytest.mark.sqlite_only("copies and damage of the file")
def test_a_backup_made_while_others_write_is_a_whole_moment(
    kept: tuple[Record, Settings], tmp_path: Path
) -> None:
    record, settings = kept
    stop = threading.Event()

    def write_on() -> None:
        while not stop.is_set():
            record.write(ONE_SCOOP)

    writer = threading.Thread(target=write_on)
    writer.start()
    try:
        reports = [
            keeping.back_up(settings, tmp_path / f"{n}.sqlite", now=MONDAY) for n in range(4)
        ]
    finally:
        stop.set()
        writer.join()
    assert [r.fault for r in reports] == [""] * 4
    for report in reports:
        rows = contents(report.file)
        assert len(rows["feeding"]) + len(rows["observation"]) + len(rows["stock_event"]) == len(
            rows["entry"]
        ), "a header without its detail"
    assert sorted(r.rows["entry"] for r in reports) == [r.rows["entry"] for r in reports]


@pytest.mark.sqlite_only("copies and damage of the file")
def test_what_is_saved_after_a_backup_is_seen_by_every_other_program(
    kept: tuple[Record, Settings], tmp_path: Path
) -> None:
    # SQLite, "How To Corrupt An SQLite Database File", section 2.2: opening and closing the file
    # by other means drops this process's locks. The next program to leave then takes itself for
    # the last one and removes the log, and what is written to it afterwards is gone.
    record, settings = kept
    before = _counted_elsewhere(settings.database_file)
    keeping.back_up(settings, tmp_path / "monday.sqlite", now=MONDAY)
    assert _counted_elsewhere(settings.database_file) == before
    record.write(ONE_SCOOP)
    assert _counted_elsewhere(settings.database_file) == before + 1


def _counted_elsewhere(file: Path) -> int:
    """The entries that a program of its own finds in a record, before it leaves."""
    count = (
        "import sqlite3, sys; record = sqlite3.connect(sys.argv[1]); "
        "print(*record.execute('SELECT count(*) FROM entry').fetchone()); record.close()"
    )
    said = subprocess.run([sys.executable, "-c", count, str(file)], check=True, capture_output=True)
    return int(said.stdout)


@pytest.mark.sqlite_only("copies and damage of the file")
def test_a_backup_says_when_it_was_made_by_which_version_and_of_how_many_rows(
    kept: tuple[Record, Settings], tmp_path: Path
) -> None:
    _, settings = kept
    target = tmp_path / "copy.sqlite"
    keeping.back_up(settings, target, now=MONDAY)
    assert contents(target) == contents(settings.database_file)
    with closing(sqlite3.connect(target)) as connection:
        note = dict(connection.execute("SELECT name, value FROM backup_note"))
    assert note["made_at"] == "2027-02-08T13:41:00+00:00"
    assert note["version"]
    assert note["rows of entry"] == "4"
    assert not (tmp_path / "copy.sqlite-wal").exists(), "a backup is one file"


@pytest.mark.sqlite_only("copies and damage of the file")
def test_a_backup_never_writes_over_a_file(kept: tuple[Record, Settings], tmp_path: Path) -> None:
    _, settings = kept
    target = tmp_path / "letter.txt"
    target.write_text("dear")
    with pytest.raises(Refused, match="is there already"):
        keeping.back_up(settings, target, now=MONDAY)
    with pytest.raises(Refused, match="is there already"):
        keeping.back_up(settings, settings.database_file, now=MONDAY)
    assert target.read_text() == "dear"


@pytest.mark.sqlite_only("copies and damage of the file")
def test_a_backup_into_no_folder_is_refused(kept: tuple[Record, Settings], tmp_path: Path) -> None:
    with pytest.raises(Refused, match="no folder"):
        keeping.back_up(kept[1], tmp_path / "nowhere" / "b.sqlite", now=MONDAY)


def test_there_is_nothing_to_back_up_or_check_before_the_first_start(tmp_path: Path) -> None:
    settings = settings_in(tmp_path)
    with pytest.raises(NotFound, match="no record"):
        keeping.back_up(settings, tmp_path / "b.sqlite", now=MONDAY)
    with pytest.raises(NotFound, match="no record"):
        keeping.check(settings)


# looking it over


@pytest.mark.sqlite_only("copies and damage of the file")
def test_a_whole_record_is_reported_with_its_counts(kept: tuple[Record, Settings]) -> None:
    report = keeping.check(kept[1])
    assert report.is_whole
    assert report.rows["entry"] == 4
    assert report.rows["reading"] == 1
    assert report.sqlite_version == sqlite3.sqlite_version
    assert report.revision == schema.newest_revision()


@pytest.mark.sqlite_only("copies and damage of the file")
def test_a_row_that_belongs_to_nothing_is_a_fault(kept: tuple[Record, Settings]) -> None:
    record, settings = kept
    record.database.close()
    change(settings.database_file, "UPDATE reading SET entry_id = 999")
    report = keeping.check(settings)
    assert "reading" in report.fault
    assert not report.is_whole
