"""Files in and out on the command line: import, export, backup, restore, check."""

import csv
from pathlib import Path

import pytest

from app.cli import frame
from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.settings import Settings
from app.storage import hold
from tests.cli.conftest import Run
from tests.record import ALL_FINE, ONE_SCOOP, Record, reading
from tests.services.record_files import contents

LOGGER = "Time,Temp\n" + "\n".join(f"2027-02-07 {h:02}:00,77.{h % 10}" for h in range(24)) + "\n"
SAID = ("--unit", "F", "--zone=-05:00")


@pytest.fixture
def logger(tmp_path: Path) -> str:
    file = tmp_path / "logger.csv"
    file.write_text(LOGGER)
    return str(file)


# import


def test_a_loggers_file_is_read_shown_and_saved(run: Run, record: Record, logger: str) -> None:
    told = run("import", logger, *SAID)
    assert told.exit_code == 0
    assert "24 readings from 2027-02-07 05:00 to 2027-02-08 04:00 UTC" in told.stdout
    assert "25.0 to 25.5 °C" in told.stdout
    assert "24 readings were saved." in told.stdout


def test_the_same_file_again_adds_nothing(run: Run, record: Record, logger: str) -> None:
    run("import", logger, *SAID)
    told = run("import", logger, *SAID)
    assert told.exit_code == 0
    assert "Nothing new" in told.stdout
    assert "another value" not in told.stdout


def test_a_file_read_on_another_clock_says_what_stays(
    run: Run, record: Record, logger: str
) -> None:
    run("import", logger, *SAID)
    told = run("import", logger, *SAID, "--zone=-06:00")
    assert "moments another value stands, and stays" in told.stdout


def test_a_dry_run_saves_nothing(run: Run, record: Record, logger: str, settings: Settings) -> None:
    before = contents(settings.database_file)
    assert "24 readings" in run("import", logger, *SAID, "--dry-run").stdout
    assert contents(settings.database_file) == before


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ((), "--unit C or --unit F"),
        (("--unit", "F"), "--zone America/New_York or --zone=-05:00"),
        ((*SAID, "--column", "Salt"), "No column is called Salt. The file has: Time, Temp."),
        ((*SAID, "--zone", "Middle/Earth"), "no time zone"),
        ((*SAID, "--tank", "Lake"), "Tanks here: Brook"),
    ],
)
def test_what_has_to_be_said_first_is_named(
    run: Run, record: Record, logger: str, said: tuple[str, ...], wanted: str
) -> None:
    refused = run("import", logger, *said)
    assert refused.exit_code == 1
    assert wanted in refused.stderr


def test_bad_rows_are_named_and_nothing_is_saved(
    run: Run, record: Record, tmp_path: Path, settings: Settings
) -> None:
    file = tmp_path / "logger.csv"
    file.write_text(LOGGER + "2027-02-08 00:00,warm\n")
    before = contents(settings.database_file)
    refused = run("import", str(file), *SAID)
    assert refused.exit_code == 1
    assert "line 26: Temp: warm is no number" in refused.stderr
    assert "1 row cannot be read. Nothing was saved." in refused.stderr
    assert contents(settings.database_file) == before


# export


def test_every_measurement_is_written_as_a_row(run: Run, record: Record, tmp_path: Path) -> None:
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.9), by=record.otter)
    file = tmp_path / "out.csv"
    told = run("export", str(file))
    assert told.exit_code == 0
    assert told.stdout.endswith("out.csv: 1 measurements\n")
    with file.open(encoding="utf-8-sig", newline="") as lines:
        (row,) = csv.DictReader(lines)
    assert (row["tank"], row["quantity"], row["value"]) == ("Brook", "temperature", "24.9")
    assert file.read_bytes().startswith(b"\xef\xbb\xbf"), "a spreadsheet then knows the letters"


def test_a_file_that_is_there_is_not_written_over(run: Run, record: Record, tmp_path: Path) -> None:
    file = tmp_path / "letter.csv"
    file.write_text("dear")
    assert run("export", str(file)).exit_code == 1
    assert run("backup", str(file)).exit_code == 1
    assert file.read_text() == "dear"


def test_a_dash_writes_to_the_screen(run: Run, record: Record) -> None:
    record.write(NewTest(), reading(Quantity.PH, 7.1))
    lines = run("export", "-", "--tank", "brook").stdout.splitlines()
    assert lines[0].startswith("time,tank,entry")
    assert len(lines) == 2


def test_the_help_explains_every_column(run: Run) -> None:
    told = run("export", "--help").stdout
    for column in ("value", "basis", "step_size", "added_later", "who"):
        assert f"\n  {column}" in told


# backup, restore


def test_a_backup_comes_back(run: Run, record: Record, tmp_path: Path, settings: Settings) -> None:
    record.write(ALL_FINE)
    wanted = contents(settings.database_file)
    backup = str(tmp_path / "backup.sqlite")
    assert "whole, 3 entries" in run("backup", backup).stdout
    record.write(ONE_SCOOP)
    record.database.close()
    told = run("restore", backup)
    assert told.exit_code == 0
    assert "The record is back: 3 entries" in told.stdout
    assert "before-restore" in told.stdout
    assert "Links that were given away and tokens of programs are closed." in told.stdout
    assert contents(settings.database_file) == wanted


def test_nothing_is_restored_while_a_server_has_the_record_open(
    run: Run, record: Record, tmp_path: Path, settings: Settings
) -> None:
    backup = str(tmp_path / "backup.sqlite")
    run("backup", backup)
    record.write(ONE_SCOOP)
    before = contents(settings.database_file)
    with hold.held(frame.lock_file(settings)) as lock:
        lock.say("http://127.0.0.1:4711/")
        refused = run("restore", backup)
    assert refused.exit_code == 1
    assert "http://127.0.0.1:4711/" in refused.stderr
    assert contents(settings.database_file) == before
