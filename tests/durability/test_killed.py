"""Saved means saved: a server or a command that is killed at any moment loses and doubles nothing.

The ordinary suite kills a few times; `python -m tests.durability.measure` does the long rounds
with processes as people start them.
"""

import functools
import os
import random
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.services.installation import keeping
from tests.durability.browser import Meal, served, written
from tests.durability.children import Child, Start, needs_fork, nursery, steps_of, wait_until
from tests.durability.rounds import WRITERS, killed_rounds, stalled
from tests.durability.steps import putting_back, upgrading
from tests.durability.test_upgrades import RELEASED
from tests.services.record_files import LATER, contents, filled, settings_in

pytestmark = needs_fork
HEAVY = os.environ.get("SILLPOND_HEAVY") == "1"
# a command has up to 1,600 steps, and every kill takes a second and more
MOST_KILLS = 150
# the answer to a save, and what asks the disk to keep what was written
_CALL = re.compile(r"(fdatasync|fsync)\(\d+\)\s+= 0|(?:sendto|send|write)\(\d+, \"(HTTP/1\.1 \d+)")


@pytest.fixture(scope="module")
def start() -> Iterator[Start]:
    with nursery() as begin:
        yield begin


def test_a_killed_server_loses_nothing_and_doubles_nothing(tmp_path: Path, start: Start) -> None:
    house = served(tmp_path / "data", start)
    found = killed_rounds(house, 2, random.Random(20270208))
    assert found.answered > WRITERS


def test_a_server_that_stalls_is_slow_and_not_wrong(tmp_path: Path, start: Start) -> None:
    log = stalled(served(tmp_path / "data", start), seconds=1.0, patience=0.5)
    assert len(log.saved) >= WRITERS


@pytest.mark.skipif(shutil.which("strace") is None, reason="strace is not installed")
def test_the_disk_has_a_save_before_its_answer_leaves(tmp_path: Path, start: Start) -> None:
    calls = tmp_path / "calls"
    house = served(tmp_path / "data", start)
    house.sign_in(house.up())
    house.feed(Meal("the-very-first-meal", "1 pea", "24.1"))
    assert house.child is not None
    what = "trace=fdatasync,fsync,sendto,write"
    watch = subprocess.Popen(
        ["strace", "-f", "-e", what, "-o", str(calls), "-p", str(house.child.pid)],
        stderr=subprocess.PIPE,
        text=True,
    )
    assert watch.stderr is not None
    told = watch.stderr.readline()
    if "attached" not in told:
        watch.wait()
        pytest.skip(f"this system lets nobody watch a process: {told.strip()}")
    saves = 3
    answers = [
        house.feed(Meal(f"watched-meal-{n:04}", f"{n} peas", "24.1")).status for n in range(saves)
    ]
    assert answers == [303] * saves
    wait_until(lambda: calls.read_text().count("HTTP/1.1 303") == saves, "no answer is seen")
    watch.send_signal(signal.SIGINT)
    watch.communicate()
    house.down()
    seen = ["answer" if answer else "sync" for _, answer in _CALL.findall(_joined(calls))]
    # one sync each, and it is over before the answer begins
    assert seen == ["sync", "answer"] * saves


def _joined(calls: Path) -> str:
    """The calls in the order in which they ended, one a line."""
    lines, begun = [], {}
    for line in calls.read_text().splitlines():
        thread, _, call = line.partition(" ")
        if call.endswith("<unfinished ...>"):
            begun[thread] = call.removesuffix("<unfinished ...>").strip()
        elif "resumed>" in call:
            lines.append(begun.pop(thread, "") + call.partition("resumed>")[2])
        else:
            lines.append(call)
    return "\n".join(lines)


# commands that change a whole record


def spread(steps: int) -> list[int]:
    """One of the last steps in the ordinary suite, some `MOST_KILLS` of all in the heavy one."""
    return list(range(1, steps + 1, -(-steps // MOST_KILLS))) if HEAVY else [steps - steps // 8]


@pytest.mark.parametrize("revision", RELEASED if HEAVY else RELEASED[-1:])
def test_an_upgrade_killed_at_any_step_leaves_the_old_record_or_the_new_one(
    tmp_path: Path, start: Start, revision: str
) -> None:
    case = upgrading(tmp_path, revision)
    steps = case.steps(tmp_path / "counted", start)
    seen = [case.kill_at(step, tmp_path / "killed", start) for step in spread(steps)]
    assert seen == sorted(seen), "old before a moment, new after it"
    assert not seen[0]


def test_a_restore_killed_at_any_step_leaves_the_old_record_or_the_new_one(
    tmp_path: Path, start: Start
) -> None:
    case = putting_back(tmp_path)
    steps = case.steps(tmp_path / "counted", start)
    seen = [case.kill_at(step, tmp_path / "killed", start) for step in spread(steps)]
    assert seen == sorted(seen), "old before a moment, new after it"
    assert not seen[0]


def test_a_backup_killed_at_any_step_is_whole_or_not_there(tmp_path: Path, start: Start) -> None:
    record, settings = filled(tmp_path / "data")
    record.database.close()
    before, target = contents(settings.database_file), tmp_path / "backup.sqlite"
    steps = steps_of(start(settings.data_folder, "backup", str(target), steps=0))
    for step in spread(steps):
        target.unlink(missing_ok=True)
        start(settings.data_folder, "backup", str(target), steps=step).wait()
        assert not target.exists() or contents(target) == before, f"killed at step {step}"
        target.unlink(missing_ok=True)
        start(settings.data_folder, "backup", str(target)).wait()
        assert contents(target) == before
        assert contents(settings.database_file) == before


def test_a_first_start_killed_at_any_step_needs_nobody(tmp_path: Path, start: Start) -> None:
    steps = steps_of(start(tmp_path / "counted", "open", steps=0))
    for step in spread(steps):
        folder = tmp_path / f"killed-{step}"
        start(folder, "open", steps=step).wait()
        settings = settings_in(folder)
        keeping.open_record(settings, now=LATER).close()
        report = keeping.check(settings)
        assert report.is_whole, f"killed at step {step}"
        assert report.rows["site"] == 1


def has_started_or_ended(child: Child) -> bool:
    return not child.is_there or "Stop with" in child.words


def test_a_server_killed_while_it_starts_comes_up_the_next_time(
    tmp_path: Path, start: Start
) -> None:
    house = served(tmp_path / "data", start)
    words = ("serve", "--no-browser", "--port", str(house.port))
    for step in range(1, 90, 1 if HEAVY else 60):
        child = start(house.folder, *words, steps=step)
        wait_until(functools.partial(has_started_or_ended, child), "it hangs")
        child.kill()
    house.sign_in(house.up())
    assert house.feed(Meal("after-all-that", "1 pea", "24.9")).status == 303
    house.down()
    assert list(written(house.file)) == ["after-all-that"]


# a file or a folder that may not be written to


needs_permissions = pytest.mark.skipif(
    sys.platform != "linux", reason="root obeys no permissions here"
)


@needs_permissions
@pytest.mark.parametrize("what", ["the file", "the folder"])
def test_a_start_where_nothing_may_be_written_says_so_in_one_line(
    tmp_path: Path, start: Start, what: str
) -> None:
    folder = tmp_path / "data"
    house = served(folder, start)
    house.file.chmod(0o444)
    folder.chmod(0o555 if what == "the folder" else 0o755)
    before = house.file.read_bytes()
    child = start(folder, "serve", "--no-browser", "--port", "0", plain=True)
    child.wait()
    assert "Traceback" not in child.words
    said = [line for line in child.words.splitlines() if line.startswith("Error: ")]
    assert len(said) == 1, child.words
    assert ("may not be written to" if what == "the file" else "Permission denied") in said[0]
    folder.chmod(0o755)
    assert house.file.read_bytes() == before


@needs_permissions
def test_a_record_that_may_not_be_written_to_any_more_is_still_read(
    tmp_path: Path, start: Start
) -> None:
    """What was open before stays open for this server: a save is written or refused, never lost."""
    folder = tmp_path / "data"
    house = served(folder, functools.partial(start, plain=True))
    house.sign_in(house.up())
    for each in folder.iterdir():
        each.chmod(0o444)
    folder.chmod(0o555)
    answers = {}
    for number in range(8):
        meal = Meal(f"not-ours-any-more-{number}", "1 pea", "24.9")
        answers[meal.token] = house.feed(meal)
        assert house.ask("GET", "/tank/1/story").status == 200
    house.down()
    folder.chmod(0o755)
    for answer in answers.values():
        assert answer.status == 303 or "may not be written to" in answer.text
    saved = [token for token, answer in answers.items() if answer.status == 303]
    assert sorted(written(house.file)) == sorted(saved)
