"""`package`, `archive` and `unpack` on the command line."""

import zipfile
from pathlib import Path

import pytest

from app.cli import frame
from app.settings import Settings
from app.storage import hold
from tests.cli.conftest import Run
from tests.record import ALL_FINE, Record


def test_a_package_becomes_a_record_elsewhere(
    run: Run, record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record.write(ALL_FINE, by=record.otter)
    first, again = tmp_path / "first.zip", tmp_path / "again.zip"
    assert run("package", str(first)).exit_code == 0
    monkeypatch.setenv("SILLPOND_DATA", str(tmp_path / "elsewhere"))
    told = run("unpack", str(first))
    assert told.exit_code == 0
    assert "1 tank, 3 entries, 0 readings" in told.stdout
    assert run("package", str(again)).exit_code == 0
    assert again.read_bytes() == first.read_bytes()


def test_one_tank_can_be_archived(run: Run, record: Record, tmp_path: Path) -> None:
    file = tmp_path / "brook.zip"
    assert run("archive", str(file), "--tank", "brook").exit_code == 0
    with zipfile.ZipFile(file) as found:
        assert "Brook" in found.read("index.html").decode()


def test_a_file_that_is_there_is_not_written_over(run: Run, record: Record, tmp_path: Path) -> None:
    file = tmp_path / "letter.zip"
    file.write_text("dear")
    for command in ("package", "archive"):
        refused = run(command, str(file))
        assert refused.exit_code == 1
        assert "is there already" in refused.stderr
    assert file.read_text() == "dear"
    lake = run("package", str(tmp_path / "new.zip"), "--tank", "Lake")
    assert "Tanks here: Brook" in lake.stderr
    assert [p.name for p in tmp_path.glob("new*")] == []


def test_a_record_that_is_served_or_filled_takes_nothing_in(
    run: Run, record: Record, tmp_path: Path, settings: Settings
) -> None:
    file = tmp_path / "package.zip"
    run("package", str(file))
    assert "holds something already" in run("unpack", str(file)).stderr
    with hold.held(frame.lock_file(settings)) as lock:
        lock.say("http://127.0.0.1:4711/")
        refused = run("unpack", str(file))
    assert refused.exit_code == 1
    assert "http://127.0.0.1:4711/" in refused.stderr
    assert "There is no file" in run("unpack", str(tmp_path / "none.zip")).stderr
