"""Processes that tests kill: fresh ones as people start them, or forked ones that start fast."""

import contextlib
import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import pytest

LONGEST = 60.0
needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no fork")


@dataclass
class Child:
    """A process with what it says; `steps` stand in a file beside that when they are counted."""

    pid: int
    said: Path
    process: "subprocess.Popen[bytes] | None" = None

    @property
    def words(self) -> str:
        """What it has said so far."""
        return self.said.read_text("utf-8", errors="replace") if self.said.exists() else ""

    @property
    def is_there(self) -> bool:
        """Whether it still runs."""
        if self.process is not None:
            return self.process.poll() is None
        try:
            os.kill(self.pid, 0)
        except ProcessLookupError:
            return False
        return True

    def send(self, number: int) -> None:
        """Send it a signal; one that is gone gets none."""
        if self.is_there:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.pid, number)

    def wait(self) -> None:
        """Wait until it is gone."""
        wait_until(lambda: not self.is_there, f"{self.pid} does not end: {self.words}")

    def kill(self) -> None:
        """End it with no chance to tidy up, and wait until it is gone."""
        self.send(signal.SIGKILL)
        self.wait()


class Start(Protocol):
    """Starts a command on the record of a folder."""

    def __call__(
        self, folder: Path, *words: str, plain: bool = False, steps: int | None = None
    ) -> Child:
        """The running process; `plain` is without root's rights, `steps` see `nursery`."""


def wait_until(true: Callable[[], bool], what: str) -> None:
    """Wait until something holds, or fail with what was waited for."""
    end = time.monotonic() + LONGEST
    while not true():
        assert time.monotonic() < end, what
        time.sleep(0.005)


def fresh(folder: Path, *words: str, plain: bool = False, steps: int | None = None) -> Child:
    """A process as people start it; slower by the import of the whole program."""
    assert not plain
    assert steps is None
    said = folder.with_suffix(".said")
    with said.open("wb") as target:
        process = subprocess.Popen(
            [sys.executable, "-m", "app", *words],
            env={**os.environ, "SILLPOND_DATA": str(folder), "PYTHONUNBUFFERED": "1"},
            stdout=target,
            stderr=subprocess.STDOUT,
        )
    return Child(process.pid, said, process)


@contextlib.contextmanager
def nursery() -> Iterator[Start]:
    """A way to start children that are forked from one loaded process."""
    with subprocess.Popen(
        [sys.executable, "-u", "-m", "tests.durability.nursery"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        source, target = process.stdout, process.stdin
        assert source.readline() == "ready\n"
        born: list[Child] = []

        def start(
            folder: Path, *words: str, plain: bool = False, steps: int | None = None
        ) -> Child:
            said = folder.with_suffix(".said")
            said.unlink(missing_ok=True)
            order = {
                "folder": str(folder), "words": words, "said": str(said), "plain": plain,
                "steps": steps,
            }  # fmt: skip
            target.write(json.dumps(order) + "\n")
            target.flush()
            child = Child(int(source.readline()), said)
            born.append(child)
            return child

        try:
            yield start
        finally:
            for child in born:
                child.kill()
            target.close()


def steps_of(child: Child) -> int:
    """How many steps an unharmed child took."""
    child.wait()
    return int(child.said.with_suffix(".steps").read_text())


def free_port() -> int:
    """A port on which nothing listens."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
