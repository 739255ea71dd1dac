"""A backup comes back whole or not at all, and a foreign file brings in rows and nothing else."""

import shutil
import sqlite3
import zipfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from app.domain.errors import Refused
from app.services import photos
from app.services.installation import keeping, restoring
from app.services.photos import PhotoFacts
from app.settings import Settings
from app.storage.models.api import ApiToken
from app.storage.models.links import Link
from tests.pictures import jpeg
from tests.record import ONE_SCOOP, Record
from tests.services.record_files import (
    LATER,
    backup_of,
    change,
    contents,
    filled,
    settle,
    with_one_more_revision,
)

pytestmark = pytest.mark.sqlite_only("a backup is a file")

KILLS = ["_build", "_copy_rows", "_put_aside", "_settle", "record_file.put"]


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[tuple[Record, Settings]]:
    record, settings = filled(tmp_path / "data")
    yield record, settings
    record.database.close()


@pytest.fixture
def backup(kept: tuple[Record, Settings], tmp_path: Path) -> Path:
    return backup_of(*kept, tmp_path / "backup.sqlite")


def write_more(kept: tuple[Record, Settings]) -> dict[str, list[tuple[object, ...]]]:
    """Make the record differ from its backup; returns what it then holds."""
    record, settings = kept
    record.write(ONE_SCOOP)
    record.database.close()
    return contents(settings.database_file)


def test_a_backup_put_back_on_an_empty_computer_is_the_same_record(
    kept: tuple[Record, Settings], backup: Path, tmp_path: Path
) -> None:
    elsewhere = Settings(data_folder=tmp_path / "elsewhere", secret_key="")
    assert restoring.restore(elsewhere, backup, now=LATER) is None
    assert contents(elsewhere.database_file) == contents(kept[1].database_file)
    report = keeping.check(elsewhere)
    assert report.is_whole
    assert "backup_note" not in report.rows


def test_a_data_package_is_no_backup_and_the_command_for_it_is_named(
    kept: tuple[Record, Settings], tmp_path: Path
) -> None:
    before = contents(kept[1].database_file)
    package = tmp_path / "package.zip"
    with zipfile.ZipFile(package, "w") as packed:
        packed.writestr("datapackage.json", "{}")
    with pytest.raises(Refused, match="sillpond unpack"):
        restoring.restore(kept[1], package, now=LATER)
    assert contents(kept[1].database_file) == before


def test_putting_a_backup_back_keeps_the_record_that_stood_there(
    kept: tuple[Record, Settings], backup: Path
) -> None:
    settings, wanted = kept[1], contents(backup)
    newer = write_more(kept)
    aside = restoring.restore(settings, backup, now=LATER)
    assert contents(settings.database_file) == wanted
    assert aside is not None
    assert contents(aside) == newer


def test_entries_that_were_still_in_the_write_ahead_file_do_not_come_back(
    kept: tuple[Record, Settings], backup: Path, tmp_path: Path
) -> None:
    record, settings = kept
    crashed = Settings(data_folder=tmp_path / "crashed", secret_key="")
    crashed.data_folder.mkdir()
    for _ in range(5):
        record.write(ONE_SCOOP)
    for name in ("sillpond.sqlite", "sillpond.sqlite-wal"):
        shutil.copyfile(settings.data_folder / name, crashed.data_folder / name)
    aside = restoring.restore(crashed, backup, now=LATER)
    assert contents(crashed.database_file) == contents(backup)
    assert not (crashed.data_folder / "sillpond.sqlite-wal").exists()
    assert aside is not None
    assert len(contents(aside)["entry"]) == len(contents(backup)["entry"]) + 5


def test_a_browser_that_was_signed_in_then_is_not_signed_in_now(
    kept: tuple[Record, Settings], backup: Path
) -> None:
    record, settings = kept
    assert keeping.report_on(backup).rows["sign_in"] > 0
    record.database.close()
    restoring.restore(settings, backup, now=LATER)
    assert keeping.check(settings).rows["sign_in"] == 0


@pytest.mark.parametrize("step", KILLS)
def test_a_restore_that_ends_at_any_step_leaves_the_old_record(
    kept: tuple[Record, Settings], backup: Path, step: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = kept[1]
    newer, wanted = write_more(kept), contents(backup)

    def end(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(f"app.services.installation.restoring.{step}", end)
        with pytest.raises(KeyboardInterrupt):
            restoring.restore(settings, backup, now=LATER)
    assert contents(settings.database_file) == newer
    assert [p.name for p in settings.data_folder.glob("restoring*")] == []
    restoring.restore(settings, backup, now=LATER)
    assert contents(settings.database_file) == wanted


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("CREATE TRIGGER late AFTER INSERT ON entry BEGIN DELETE FROM entry; END", "late"),
        ("CREATE VIEW entries AS SELECT * FROM entry", "entries"),
        ("CREATE TABLE extra (id INTEGER)", "extra"),
        ("CREATE VIRTUAL TABLE found USING fts5(words)", "found"),
        ("ALTER TABLE kit ADD COLUMN much AS (zeroblob(900000000))", "kit.much"),
        ("DROP TABLE scoop", "scoop"),
        ("ALTER TABLE tank ADD COLUMN secret TEXT", "tank"),
        ("UPDATE reading SET entry_id = 999", "reading"),
        ("UPDATE alembic_version SET version_num = '9999'", "newer"),
        ("DELETE FROM alembic_version", "not a backup"),
    ],
)
def test_a_file_that_is_not_quite_a_backup_changes_nothing(
    kept: tuple[Record, Settings], backup: Path, statement: str, said: str
) -> None:
    settings = kept[1]
    newer = write_more(kept)
    change(backup, statement)
    with pytest.raises(Refused, match=said):
        restoring.restore(settings, backup, now=LATER)
    assert contents(settings.database_file) == newer


def test_a_value_against_the_rules_of_the_record_changes_nothing(
    kept: tuple[Record, Settings], backup: Path
) -> None:
    newer = write_more(kept)
    change(backup, "PRAGMA ignore_check_constraints=ON", "UPDATE entry SET kind = 'spell'")
    with pytest.raises(Refused):
        restoring.restore(kept[1], backup, now=LATER)
    assert contents(kept[1].database_file) == newer


def test_a_schema_with_its_rules_taken_out_does_not_come_in(
    kept: tuple[Record, Settings], backup: Path
) -> None:
    settings = kept[1]
    kept[0].database.close()
    change(
        backup,
        "PRAGMA writable_schema=ON",
        "UPDATE sqlite_master SET sql = replace(sql, 'CHECK (grams > 0)', 'CHECK (1)') "
        "WHERE name = 'scoop'",
    )
    restoring.restore(settings, backup, now=LATER)
    with closing(sqlite3.connect(settings.database_file)) as connection:
        (sql,) = connection.execute("SELECT sql FROM sqlite_master WHERE name='scoop'").fetchone()
    assert "grams > 0" in sql


@pytest.mark.parametrize("content", [b"", b"no database", b"SQLite format 3\x00" + b"\xff" * 5000])
def test_a_file_that_is_no_database_changes_nothing(
    kept: tuple[Record, Settings], tmp_path: Path, content: bytes
) -> None:
    newer = write_more(kept)
    file = tmp_path / "odd.sqlite"
    file.write_bytes(content)
    with pytest.raises(Refused):
        restoring.restore(kept[1], file, now=LATER)
    assert contents(kept[1].database_file) == newer


def test_no_file_changes_nothing(kept: tuple[Record, Settings], tmp_path: Path) -> None:
    with pytest.raises(Refused, match="no file"):
        restoring.restore(kept[1], tmp_path / "none.sqlite", now=LATER)


def test_a_record_that_somebody_has_open_is_not_exchanged(
    kept: tuple[Record, Settings], backup: Path
) -> None:
    record, settings = kept
    with record.database.reading() as session:
        session.connection()
        with pytest.raises(Refused, match="open"):
            restoring.restore(settings, backup, now=LATER)
    record.write(ONE_SCOOP)
    assert len(contents(settings.database_file)["entry"]) == 5


def test_a_damaged_record_is_exchanged_and_its_bytes_are_kept(
    kept: tuple[Record, Settings], backup: Path
) -> None:
    record, settings = kept
    settle(record.database)
    settings.database_file.write_bytes(b"\xff" * 5000)
    aside = restoring.restore(settings, backup, now=LATER)
    assert aside is not None
    assert (aside / "sillpond.sqlite").read_bytes() == b"\xff" * 5000
    assert contents(settings.database_file) == contents(backup)


def test_a_backup_of_an_older_version_is_upgraded_on_its_way_in(
    kept: tuple[Record, Settings],
    backup: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    record, settings = kept
    record.database.close()
    with_one_more_revision(tmp_path / "program", monkeypatch)
    restoring.restore(settings, backup, now=LATER)
    found = contents(settings.database_file)
    assert found.pop("pebble") == []
    assert found == contents(backup)
    assert keeping.check(settings).is_whole


# what opens the record from outside


def test_links_and_programs_tokens_of_a_backup_are_closed(
    kept: tuple[Record, Settings], tmp_path: Path
) -> None:
    record, settings = kept
    now, adult = record.now, record.adult
    with record.database.writing() as session:
        link = Link(
            kind="family", token_hash="h", tank_id=1, last_day=now.date(), made_at=now,
            made_by_id=adult.author_id,
        )  # fmt: skip
        token = ApiToken(
            label="Thermometer", token_hash="t", author_id=adult.author_id,
            made_by_id=adult.person_id, made_at=now,
        )  # fmt: skip
        session.add_all([link, token])
        session.commit()
    backup = backup_of(record, settings, tmp_path / "backup.sqlite")
    elsewhere = Settings(data_folder=tmp_path / "elsewhere", secret_key="")
    restoring.restore(elsewhere, backup, now=LATER)
    found = contents(elsewhere.database_file)
    ends = [row for name in ("link", "api_token") for row in found[name]]
    assert len(ends) == 2
    assert all("2027-02-09T13:41:00.000000Z" in row for row in ends)


def test_photos_come_back_to_the_byte(kept: tuple[Record, Settings], tmp_path: Path) -> None:
    record, settings = kept
    with record.database.writing() as session:
        photos.add(
            session, 1, photos.read(jpeg()), PhotoFacts(taken_at=record.now),
            author_id=record.otter, shown=False, token="t" * 8, now=record.now,
        )  # fmt: skip
    backup = backup_of(record, settings, tmp_path / "backup.sqlite")
    elsewhere = Settings(data_folder=tmp_path / "elsewhere", secret_key="")
    restoring.restore(elsewhere, backup, now=LATER)
    wanted = contents(settings.database_file)["photo"]
    assert contents(elsewhere.database_file)["photo"] == wanted
    assert any(isinstance(value, bytes) for value in wanted[0])


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE feeding SET scoops = 2", "feeding is another one"),
        ("DELETE FROM feeding", "feeding is another one"),
        ("UPDATE backup_note SET value = 'x' WHERE name = 'digest of reading'", "reading is"),
        ("ALTER TABLE backup_note RENAME COLUMN value TO other", "note of this backup"),
    ],
)
def test_a_backup_that_is_not_as_its_note_says_changes_nothing(
    kept: tuple[Record, Settings], backup: Path, statement: str, said: str
) -> None:
    newer = write_more(kept)
    change(backup, statement)
    with pytest.raises(Refused, match=said):
        restoring.restore(kept[1], backup, now=LATER)
    assert contents(kept[1].database_file) == newer


def test_a_record_that_was_copied_by_hand_has_no_note_and_comes_back(
    kept: tuple[Record, Settings], tmp_path: Path
) -> None:
    record, settings = kept
    settle(record.database)
    copy = tmp_path / "copy.sqlite"
    shutil.copyfile(settings.database_file, copy)
    wanted = write_more(kept)
    restoring.restore(settings, copy, now=LATER)
    assert len(contents(settings.database_file)["entry"]) == len(wanted["entry"]) - 1
