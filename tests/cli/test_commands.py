"""What all commands have in common: help, one line for what is refused, never a traceback."""

from pathlib import Path

import pytest

from app.cli import frame, main
from tests.cli.conftest import Run

COMMANDS = [
    "demo", "serve", "passphrase", "link", "people", "due", "remind", "import", "export", "backup",
    "restore", "check", "package", "archive", "unpack", "copy-to",
]  # fmt: skip


def test_these_are_the_commands() -> None:
    assert sorted(main.commands) == sorted(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_tells_what_it_does(run: Run, command: str) -> None:
    told = run(command, "--help")
    assert told.exit_code == 0
    assert told.output.startswith(f"Usage: sillpond {command}")


def test_the_version_is_told(run: Run) -> None:
    assert "sillpond, version" in run("--version").output


@pytest.mark.parametrize(
    "words",
    [
        ["check"],
        ["due"],
        ["export", "out.csv"],
        ["backup", "b.sqlite"],
        ["import", "logger.csv"],
        ["link"],
        ["restore", "no-such-file.sqlite"],
    ],
)
def test_before_the_first_start_each_command_says_so_in_one_line(
    run: Run, words: list[str]
) -> None:
    refused = run(*words)
    assert refused.exit_code == 1
    assert refused.stderr.startswith("Error: ") or "\nError: " in refused.stderr
    assert "Traceback" not in refused.output
    assert isinstance(refused.exception, SystemExit)


def test_a_command_that_is_not_there_ends_with_another_code(run: Run) -> None:
    assert run("sing").exit_code == 2
    assert run("serve", "--port", "99999").exit_code == 2


def test_a_damaged_record_is_told_in_one_line(run: Run, folder: Path) -> None:
    folder.mkdir()
    (folder / "sillpond.sqlite").write_bytes(b"\xff" * 5000)
    for command in ("due", "check", "link"):
        assert run(command).exit_code == 1
    assert "damaged" in run("due").stderr


def test_a_data_folder_that_is_a_file_is_told_in_one_line(run: Run, folder: Path) -> None:
    folder.write_text("a letter")
    refused = run("passphrase", input="four tall willow trees\n" * 2)
    assert refused.exit_code == 1
    assert "cannot be used" in refused.stderr


# the zone of this computer


@pytest.mark.parametrize(
    ("named", "zone"), [("Europe/Dublin", "Europe/Dublin"), (":Asia/Tokyo", "Asia/Tokyo")]
)
def test_the_zone_that_the_environment_names_is_taken(
    monkeypatch: pytest.MonkeyPatch, named: str, zone: str
) -> None:
    monkeypatch.setenv("TZ", named)
    assert frame.machine_zone() == zone


@pytest.mark.parametrize("named", ["", "EST5EDT", "/etc/localtime", "Middle/Earth"])
def test_what_is_no_zone_name_is_passed_over(monkeypatch: pytest.MonkeyPatch, named: str) -> None:
    monkeypatch.setenv("TZ", named)
    assert frame.machine_zone() != named
