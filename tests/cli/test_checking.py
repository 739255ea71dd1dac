"""`sillpond check`: one line for each thing that can be wrong, and an exit code for a watcher."""

import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
from sqlalchemy import text

from app.services.access import passphrases
from app.services.installation import checking, health
from app.services.installation.checking import Grade
from app.settings import Settings
from app.storage import schema
from tests import server
from tests.cli.conftest import Run
from tests.record import MONDAY, ON_SERVER, Record, new_record

posix = pytest.mark.skipif(os.name != "posix", reason="folders have no such rights here")


@pytest.fixture(autouse=True)
def closed_folder(folder: Path) -> None:
    """The folder as the program makes it."""
    folder.mkdir(mode=0o700, exist_ok=True)
    folder.chmod(0o700)


def lines(settings: Settings, **later: float) -> dict[str, tuple[Grade, str]]:
    found = checking.look(settings, now=MONDAY + timedelta(**later))
    return {line.about: (line.grade, line.says) for line in found}


def changed(record: Record, statement: str) -> None:
    file = record.database.engine.url.database
    assert file
    with closing(sqlite3.connect(file)) as connection, connection:
        connection.execute(statement)


def test_a_fit_record_is_called_so_with_its_numbers(run: Run, record: Record) -> None:
    told = run("check")
    assert told.exit_code == 0
    assert "is whole" in told.stdout
    assert "2 entries" in told.stdout
    assert f"{schema.newest_revision()}, as this program needs it" in told.stdout
    assert told.stdout.rstrip().endswith("Nothing has to be mended.")
    assert {line[:4] for line in told.stdout.splitlines()[:-1]} <= {"ok  ", "note"}


def test_looking_changes_nothing(record: Record, settings: Settings) -> None:
    before = settings.database_file.read_bytes()
    lines(settings)
    assert settings.database_file.read_bytes() == before


def test_a_record_of_another_version(run: Run, record: Record) -> None:
    changed(record, "UPDATE alembic_version SET version_num = '9999'")
    told = run("check")
    assert told.exit_code == 1
    assert "mend  Schema      9999, and this program needs" in told.stdout
    assert "To be mended: schema." in told.stderr


def test_a_row_that_belongs_to_nothing(record: Record, settings: Settings) -> None:
    changed(record, "UPDATE stock_group SET tank_id = 77")
    grade, says = lines(settings)["Record"]
    assert grade is Grade.MEND
    assert "a row of stock_group belongs to nothing" in says
    assert "sillpond restore" in says


def test_a_damaged_page(record: Record, settings: Settings) -> None:
    record.database.end_log()
    content = bytearray(settings.database_file.read_bytes())
    content[4096 * 3 : 4096 * 9] = b"\xff" * 4096 * 6
    settings.database_file.write_bytes(content)
    assert lines(settings)["Record"][0] is Grade.MEND


@pytest.mark.parametrize(
    ("free", "grade"),
    [(1_000, Grade.MEND), (900_000_000, Grade.NOTE), (2_000_000_000, Grade.FINE)],
)
def test_room_on_the_disk(
    record: Record, settings: Settings, monkeypatch: pytest.MonkeyPatch, free: int, grade: Grade
) -> None:
    monkeypatch.setattr("shutil.disk_usage", lambda _: SimpleNamespace(free=free))
    assert lines(settings)["Room"][0] is grade


@pytest.mark.parametrize(
    ("version", "grade"),
    [((3, 40, 1), Grade.NOTE), ((3, 51, 2), Grade.NOTE), ((3, 51, 3), Grade.FINE)],
)
def test_sqlite_with_its_race(
    record: Record,
    settings: Settings,
    monkeypatch: pytest.MonkeyPatch,
    version: tuple[int, ...],
    grade: Grade,
) -> None:
    monkeypatch.setattr("sqlite3.sqlite_version_info", version)
    assert lines(settings)["SQLite"][0] is grade


def test_the_age_of_the_last_backup(
    run: Run, record: Record, settings: Settings, tmp_path: Path
) -> None:
    assert lines(settings)["Backup"] == (
        Grade.NOTE, "none was made here yet. Make one: sillpond backup FILE",
    )  # fmt: skip
    run("backup", str(tmp_path / "backup.sqlite"))
    grade, says = lines(settings, days=31)["Backup"]
    assert (grade, says[:23]) == (Grade.FINE, "2027-02-08, 31 days old")
    assert lines(settings, days=32)["Backup"][0] is Grade.NOTE


@posix
@pytest.mark.parametrize(
    ("mode", "grade"), [(0o700, Grade.FINE), (0o750, Grade.MEND), (0o705, Grade.MEND)]
)
def test_who_may_look_into_the_folder(
    record: Record, settings: Settings, mode: int, grade: Grade
) -> None:
    settings.data_folder.chmod(mode)
    found, says = lines(settings)["Folder"]
    assert found is grade
    assert ("chmod 700" in says) is (grade is Grade.MEND)


def test_passphrases(record: Record, settings: Settings) -> None:
    assert lines(settings)["Passphrase"][0] is Grade.NOTE
    with record.database.writing() as session:
        passphrases.set_passphrase(session, "eleven pebbles under a fern")
    assert lines(settings)["Passphrase"] == (Grade.FINE, "1 adult has one")


def test_a_zone_that_this_computer_does_not_know(record: Record, settings: Settings) -> None:
    assert lines(settings)["Time zones"][1].startswith("America/New_York, by the rules of 20")
    changed(record, "UPDATE site SET zone = 'Atlantis/Main_Square'")
    assert lines(settings)["Time zones"] == (
        Grade.MEND, "this computer does not know Atlantis/Main_Square.",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("version", "grade"),
    [("2024b", Grade.NOTE), ("2025.2", Grade.NOTE), ("2026a", Grade.FINE), ("", Grade.FINE)],
)
def test_old_rules_of_time_zones(
    record: Record,
    settings: Settings,
    monkeypatch: pytest.MonkeyPatch,
    version: str,
    grade: Grade,
) -> None:
    monkeypatch.setattr(checking, "zone_data", lambda: version)
    assert lines(settings)["Time zones"][0] is grade


@pytest.fixture
def on_server(
    tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[tuple[Record, Settings]]:
    """A record on a PostgreSQL server, and the settings that name it."""
    record = new_record(tmp_path, place=ON_SERVER)
    url = record.database.engine.url.render_as_string(hide_password=False)
    monkeypatch.setenv("SILLPOND_DATABASE_URL", url)
    yield record, Settings(data_folder=folder, secret_key="", database_url=url)
    record.database.close()


def told_by_server(record: Record, statement: str) -> None:
    with record.database.writing() as session:
        session.execute(text(statement))
        session.commit()


def test_a_record_on_a_server_is_looked_at_as_far_as_it_can_be(
    run: Run, on_server: tuple[Record, Settings]
) -> None:
    record, settings = on_server
    told = run("check")
    assert told.exit_code == 1
    whole = r"^ok    Record .* MB, 2 entries, 0 readings\..*pg_dump"
    assert re.search(whole, told.stdout, re.MULTILINE)
    assert re.search(r"^ok    PostgreSQL  \d+", told.stdout, re.MULTILINE)
    assert "as this program needs it" in told.stdout
    assert "To be mended: passphrase." in told.stderr

    with record.database.writing() as session:
        passphrases.set_passphrase(session, "eleven pebbles under a fern")
    assert run("check").exit_code == 0

    told_by_server(record, "UPDATE alembic_version SET version_num = '9999'")
    assert lines(settings)["Schema"][0] is Grade.MEND


def test_a_server_that_takes_no_changes(on_server: tuple[Record, Settings]) -> None:
    record, settings = on_server
    assert health.fault(record.database) == ""
    name = record.database.engine.url.database
    told_by_server(record, f"ALTER DATABASE {name} SET default_transaction_read_only = on")
    record.database.engine.dispose()
    grade, says = lines(settings)["PostgreSQL"]
    assert grade is Grade.MEND
    assert "nothing can be saved" in says
    assert health.fault(record.database) == "write"


def test_a_database_without_a_record_is_told(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SILLPOND_DATABASE_URL", server.url("postgres"))
    told = run("check")
    assert told.exit_code == 1
    assert "There is no record in postgresql" in told.stderr
