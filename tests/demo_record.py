"""The demo as a record for tests: made once for all processes of a run, and then copied."""

import json
import os
import shutil
import time
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

import pytest

from app.domain.errors import Conflict
from app.services import demo
from app.storage import hold
from app.storage.engine import Database
from tests import server
from tests.record import FILES, empty_database

_WAIT_S = 0.2

Steps = list[tuple[int, int]]


class DemoRecord(NamedTuple):
    """A copy of the demo, open, and how far its making said to be, step by step."""

    database: Database
    steps: Steps


def demo_record(
    factory: pytest.TempPathFactory, folder: Path, *, now: datetime, zone: str
) -> DemoRecord:
    """The demo as of a moment, in this folder; whoever asks first makes it, the others wait.

    On a PostgreSQL server each makes their own: there it is what is being tested.
    """
    if server.WHOLE_RUN:
        return _loaded(empty_database(folder), now, zone)
    made = _of_this_run(factory) / f"demo-{now:%Y%m%dT%H%M}-{zone.replace('/', '-')}"
    made.mkdir(exist_ok=True)
    file, told = made / "sillpond.sqlite", made / "steps.json"
    while not told.exists():
        try:
            with hold.held(made / "lock"):
                if not told.exists():
                    _make(made, told, now, zone)
        except Conflict:
            time.sleep(_WAIT_S)
    steps = [(done, of) for done, of in json.loads(told.read_text("ascii"))]
    return DemoRecord(FILES.opened(folder, str(file)), steps)


def _of_this_run(factory: pytest.TempPathFactory) -> Path:
    """The folder that all processes of this run share."""
    mine = factory.getbasetemp()
    return mine.parent if "PYTEST_XDIST_WORKER" in os.environ else mine


def _loaded(database: Database, now: datetime, zone: str) -> DemoRecord:
    steps: Steps = []
    demo.load(database, now=now, zone=zone, progress=lambda *step: steps.append(step))
    return DemoRecord(database, steps)


def _make(folder: Path, told: Path, now: datetime, zone: str) -> None:
    database, steps = _loaded(empty_database(folder, FILES), now, zone)
    FILES.kept(database)
    ready = told.with_suffix(".new")
    ready.write_text(json.dumps(steps), "ascii")
    shutil.move(ready, told)
