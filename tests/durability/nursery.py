"""A process that has the whole program loaded and forks a child for each command it is told.

A child starts in a fraction of the time of a fresh process, so that ordinary tests can kill many.
One line of JSON comes in, the child's number goes out. `python -m tests.durability.nursery` is
started by `children.Nursery` and is no command for people.
"""

import atexit
import ctypes
import functools
import json
import os
import signal
import sqlite3
import sys
import traceback
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import app.factory  # noqa: F401  # all pages are loaded once
from app.charts.style import warm_up
from app.cli import main
from app.services.installation import keeping
from app.settings import Settings

_FILE_CALLS = ("replace", "rename", "open", "unlink", "fsync", "mkdir", "chmod")
# of linux/capability.h: the third version of the call; CAP_DAC_OVERRIDE and _READ_SEARCH
_CAPABILITY_VERSION = 0x20080522
_PASS_OVER = 1 << 1 | 1 << 2
_ASKING = ("execute", "executemany", "executescript", "commit", "backup")


def _count_steps(last: int, note: Path) -> None:
    """Kill this process before its step number `last`; with 0 note the number of steps instead.

    A step is a call of SQLite, or one that makes, renames or removes a file.
    """
    done = 0

    def counted(function: Callable[..., Any]) -> Callable[..., Any]:
        @functools.wraps(function)
        def call(*given: Any, **named: Any) -> Any:
            nonlocal done
            done += 1
            if done == last:
                os.kill(os.getpid(), signal.SIGKILL)
            return function(*given, **named)

        return call

    def with_steps(kind: type) -> Any:
        asking = {name: counted(getattr(kind, name)) for name in _ASKING if hasattr(kind, name)}
        return type(f"Counted{kind.__name__}", (kind,), asking)

    cursor, connection = with_steps(sqlite3.Cursor), with_steps(sqlite3.Connection)
    connection.cursor = lambda self, kind=cursor: sqlite3.Connection.cursor(self, kind)
    connect = functools.partial(sqlite3.connect, factory=connection)
    for module in (sqlite3, sqlite3.dbapi2):
        setattr(module, "connect", connect)  # noqa: B010  # its type has overloads
    for name in _FILE_CALLS:
        setattr(os, name, counted(getattr(os, name)))
    if last == 0:
        atexit.register(lambda: note.write_text(str(done)))


def _obey_permissions() -> None:
    """Give up root's right to write where the permissions of a file forbid it (capabilities(7))."""
    libc = ctypes.CDLL(None, use_errno=True)
    head = (ctypes.c_uint32 * 2)(_CAPABILITY_VERSION, 0)
    sets = (ctypes.c_uint32 * 6)()
    if libc.capget(head, sets) or os.getuid() != 0:
        return
    sets[0] &= ~_PASS_OVER
    if libc.capset(head, sets):
        raise OSError(ctypes.get_errno(), "capset")


def _open(folder: str) -> None:
    """Open a record as `serve` does, which upgrades an older one after a copy."""
    settings = Settings(data_folder=Path(folder), secret_key="k" * 32)
    keeping.open_record(settings, now=datetime.now(UTC)).close()


def _live(order: dict[str, Any]) -> None:
    """What a child does."""
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    os.environ["SILLPOND_DATA"] = order["folder"]
    said = os.open(order["said"], os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644)
    os.dup2(said, 1)
    os.dup2(said, 2)
    if order["plain"]:
        _obey_permissions()
    if order["steps"] is not None:
        _count_steps(order["steps"], Path(order["said"]).with_suffix(".steps"))
    if order["words"] == ["open"]:
        _open(order["folder"])
    else:
        main(order["words"], prog_name="sillpond")


def _run() -> None:
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    warm_up()
    print("ready", flush=True)  # noqa: T201
    for line in sys.stdin:
        order = json.loads(line)
        child = os.fork()
        if child == 0:
            sys.stdin.close()
            try:
                _live(order)
            except Exception:  # noqa: BLE001  # whatever it was, the test reads it
                traceback.print_exc()
            finally:
                sys.stdout.flush()
                sys.stderr.flush()
                atexit._run_exitfuncs()
                os._exit(0)
        print(child, flush=True)  # noqa: T201


if __name__ == "__main__":
    _run()
