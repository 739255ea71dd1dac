"""The examples of the README, run as they stand against a server."""

import contextlib
import os
import re
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
import waitress

from app.clock import SystemClock
from app.factory import create_app
from app.services.access import api_tokens
from app.services.access.api_tokens import Scope
from tests.contract.places import ROOT
from tests.record import Record
from tests.web.conftest import settings_of

HEADING = "## For programs"


def example(language: str) -> str:
    """The code in that language in the README's part for programs."""
    readme = (ROOT / "README.md").read_text("utf-8")
    part = readme.partition(HEADING)[2]
    found = re.search(rf"```{language}\n(.*?)```", part, re.DOTALL)
    assert found, f"the README has no example in {language}"
    return found[1]


def _run(server: waitress.server.BaseWSGIServer) -> None:
    # closing it takes its socket away from under the loop
    with contextlib.suppress(OSError):
        server.run()


@pytest.fixture
def surroundings(record: Record, tmp_path: Path) -> Iterator[dict[str, str]]:
    """A server on a port of its own, and where the examples find it."""
    app = create_app(settings_of(tmp_path), SystemClock(), record.database)
    server = waitress.create_server(app, host="127.0.0.1", port=0, threads=2)
    token = api_tokens.new_token()
    with record.database.writing() as session:
        api_tokens.make(
            session, record.adult, label="Example", scope=Scope.ENTRIES, tank_id=1, token=token,
            now=record.now,
        )  # fmt: skip
    thread = threading.Thread(target=_run, args=(server,), daemon=True)
    thread.start()
    yield {
        **os.environ,
        "SILLPOND_API": f"http://127.0.0.1:{server.effective_port}/api/v1",
        "SILLPOND_TOKEN": token,
        "PYTHONIOENCODING": "utf-8",
        "NO_PROXY": "127.0.0.1",
    }
    server.close()


def said(command: list[str], surroundings: dict[str, str]) -> str:
    run = subprocess.run(
        command, env=surroundings, capture_output=True, encoding="utf-8", timeout=60, check=False
    )
    assert run.returncode == 0, run.stdout + run.stderr
    return run.stdout


def test_the_example_for_the_shell(surroundings: dict[str, str]) -> None:
    if shutil.which("curl") is None or shutil.which("sh") is None:
        pytest.skip("there is no curl on this computer")
    told = said(["sh", "-eu", "-c", example("sh")], surroundings)
    assert '"name": "Brook"' in told
    assert '"added": 1' in told
    assert '"kind": "feeding"' in told
    assert '"typed": "24.6"' in told


def test_the_example_for_python(surroundings: dict[str, str]) -> None:
    command = [sys.executable, "-c", example("python")]
    told = said(command, surroundings)
    assert told.startswith("201 ")
    assert "'added': 4, 'known': 0" in told
    again = said(command, surroundings)
    # within the minute it is the same; after it, new moments came
    assert again.startswith(("200 {'added': 0, 'known': 4", "201 "))
    assert again.count("24.8 °C") >= told.count("24.8 °C") == 1
