"""What a lasting Save costs over HTTP, how often it syncs, and how it fares beside a backup."""

import http.client
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlencode

from app.web.fields import new_token
from tests.bench.measure import Bar
from tests.bench.processes import ENVIRONMENT, serving, sign_in
from tests.bench.years import filled

_RAW = """
import sqlite3, sys, threading
from waitress.server import create_server
kept = sqlite3.connect(sys.argv[1], check_same_thread=False, isolation_level=None)
for switch in ("journal_mode=WAL", "synchronous=FULL"):
    kept.execute(f"PRAGMA {switch}")
kept.execute("CREATE TABLE meal (id INTEGER PRIMARY KEY, said BLOB)")
turn = threading.Lock()
def answer(asked, start):
    said = asked["wsgi.input"].read(int(asked["CONTENT_LENGTH"]))
    with turn:
        kept.execute("INSERT INTO meal (said) VALUES (?)", (said,))
    start("200 OK", [("Content-Length", "2")])
    return [b"ok"]
server = create_server(answer, host="127.0.0.1", port=0)
print(server.effective_port, flush=True)
server.run()
"""
_FEED = "/tank/1/feed"
_CHART = "/tank/1/charts/temperature?days=all"


class Saver:
    """A browser that keeps its connection and saves one meal after the other.

    It says each time that food went in again, so that no meal of the same day is asked about.
    """

    def __init__(self, link: str, port: int) -> None:
        self.cookie = sign_in(link, port)
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        page = self.ask("GET", _FEED).decode()
        found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', page)
        hands = re.search(r'name="hands"[^>]*value="(\d+)"', page)
        assert found is not None
        assert hands is not None
        self._meal = {
            "csrf_token": found[1], "hands": hands[1], "amount": "1", "when": "now",
            "again": "yes", "temperature": "", "temperature_unit": "°C|",
        }  # fmt: skip
        self.status = 0

    def ask(self, method: str, path: str, body: str = "") -> bytes:
        """One request; returns what came back."""
        headers = {"Cookie": self.cookie, "Content-Type": "application/x-www-form-urlencoded"}
        self._connection.request(method, path, body or None, headers)
        answer = self._connection.getresponse()
        self.status = answer.status
        self.cookie = (answer.getheader("Set-Cookie") or self.cookie).split(";", 1)[0]
        return answer.read()

    def save(self) -> float:
        """Save a meal; returns how long the answer took, in seconds.

        Raises:
            SystemExit: If it was not saved.
        """
        body = urlencode(self._meal | {"token": new_token()})
        begun = time.monotonic()
        self.ask("POST", _FEED, body)
        taken = time.monotonic() - begun
        if self.status != 303:
            raise SystemExit(f"a meal was answered with {self.status}")
        return taken


@contextmanager
def _raw(folder: Path) -> Iterator[Callable[[], float]]:
    """The floor: a raw POST that ends in a raw INSERT with a full sync."""
    server = subprocess.Popen(
        [sys.executable, "-c", _RAW, str(folder / "raw.sqlite")],
        stdout=subprocess.PIPE, text=True, env=ENVIRONMENT,
    )  # fmt: skip
    assert server.stdout is not None
    connection = http.client.HTTPConnection("127.0.0.1", int(server.stdout.readline()), timeout=60)

    def save() -> float:
        begun = time.monotonic()
        connection.request("POST", "/", b"x" * 300)
        connection.getresponse().read()
        return time.monotonic() - begun

    try:
        yield save
    finally:
        server.terminate()
        server.wait(20)


def _syncs(pid: int, save: Callable[[], float], times: int) -> float | None:
    """How often a server syncs for a Save; None where nobody can watch it."""
    if shutil.which("strace") is None:
        return None
    with tempfile.NamedTemporaryFile("r") as said:
        watching = subprocess.Popen(
            ["strace", "-f", "-p", str(pid), "-e", "trace=fsync,fdatasync", "-o", said.name],
            stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert watching.stderr is not None
        if "attached" not in watching.stderr.readline():
            return None
        for _ in range(times):
            save()
        watching.send_signal(signal.SIGINT)
        watching.wait(20)
        return len(re.findall(r"\bf(?:data)?sync\(", said.read())) / times


def of_durable_saves(folder: Path, rounds: int) -> Iterator[Bar]:
    """A Save over HTTP beside a raw one, and its syncs."""
    filled(folder, tank_count=1, years=0.1).close()
    with serving(folder) as (link, port, pid), _raw(folder) as raw:
        saver = Saver(link, port)
        saver.save()
        raw()
        pairs = [
            (statistics.median(raw() for _ in range(5)), statistics.median(
                saver.save() for _ in range(5)))
            for _ in range(rounds)
        ]  # fmt: skip
        floor, subject = (statistics.median(each) for each in zip(*pairs, strict=True))
        yield Bar(name="Save over HTTP, durable", value=subject / floor, bar=4, note="wall clock")
        syncs = _syncs(pid, saver.save, 5)
        note = "" if syncs is not None else "no strace"
        yield Bar(name="syncs of a Save", value=syncs, bar=1, unit="", note=note)


def of_backup(folder: Path) -> Iterator[Bar]:
    """The slowest Save while a backup of a large record is made, beside one cold chart."""
    with serving(folder) as (link, port, _):
        saver = Saver(link, port)
        begun = time.monotonic()
        saver.ask("GET", _CHART)
        chart = time.monotonic() - begun
        command = [sys.executable, "-m", "app", "backup", str(folder / "copy.sqlite")]
        environment = ENVIRONMENT | {"SILLPOND_DATA": str(folder)}
        backup = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL)
        times = []
        while backup.poll() is None:
            times.append(saver.save())
        size = (folder / "copy.sqlite").stat().st_size / 1e6
        yield Bar(
            name="slowest Save beside a backup, in cold charts", value=max(times) / chart, bar=1,
            note=f"{len(times)} saves, none failed; {size:.0f} MB, rc {backup.returncode}",
        )  # fmt: skip
