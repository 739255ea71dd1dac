"""What a fresh process costs: to its first answer, in memory, and under many clients."""

import http.client
import os
import re
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.bench.measure import Bar
from tests.bench.years import filled

ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
"""That of whoever installed the program: what is imported was compiled before."""
_FLOOR_IMPORT = "import flask, sqlalchemy.orm, wtforms"
_APP_START = """
from pathlib import Path
from app.clock import FixedClock
from app.factory import create_app
from app.settings import Settings
from app.storage.engine import Database, sqlite_engine
from datetime import datetime, UTC
folder = Path({folder!r})
app = create_app(Settings(data_folder=folder, secret_key="bench"), FixedClock(datetime.now(UTC)),
                 Database(sqlite_engine(folder / "sillpond.sqlite")))
app.test_client().get("/")
"""
_TELL = """
import resource, re
used = resource.getrusage(resource.RUSAGE_SELF)
rss = re.search(r"VmRSS:\\s+(\\d+)", open("/proc/self/status").read())[1]
print(used.ru_utime + used.ru_stime, rss)
"""


def fresh(code: str) -> tuple[float, float]:
    """Run code in a new process; returns its processor time in s and its memory in MB."""
    told = subprocess.run(
        [sys.executable, "-c", code + "\n" + _TELL],
        check=True, capture_output=True, text=True, env=ENVIRONMENT,
    ).stdout.split()  # fmt: skip
    return float(told[-2]), float(told[-1]) / 1000


def of_start(folder: Path, rounds: int) -> Iterator[Bar]:
    """To the first answer, beside importing what a web application of this kind imports."""
    filled(folder, tank_count=1, years=0.1).close()
    fresh(_APP_START.format(folder=str(folder)))
    pairs = [
        (fresh(_FLOOR_IMPORT), fresh(_APP_START.format(folder=str(folder)))) for _ in range(rounds)
    ]
    for index, name, bar in ((0, "start to first answer, CPU", 1.5),
                             (1, "memory before the first chart", 1.35)):  # fmt: skip
        floor = statistics.median(a[index] for a, _ in pairs)
        subject = statistics.median(b[index] for _, b in pairs)
        yield Bar(name=name, value=subject / floor, bar=bar)


@contextmanager
def serving(folder: Path) -> Iterator[tuple[str, int, int]]:
    """A server of its own process: its port, its process number, and a sign-in address."""
    environment = ENVIRONMENT | {"SILLPOND_DATA": str(folder), "PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen(
        [sys.executable, "-m", "app", "serve", "--no-browser", "--port", "0"],
        env=environment, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        assert process.stdout is not None
        for line in process.stdout:
            found = re.search(r"127\.0\.0\.1:(\d+)(/sign-in/\S+)", line)
            if found:
                yield found[2], int(found[1]), process.pid
                break
    finally:
        process.terminate()
        process.wait(20)


def sign_in(link: str, port: int) -> str:
    """Use a one-time link; returns the cookie of the session."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request("GET", link)
    answer = connection.getresponse()
    answer.read()
    return (answer.getheader("Set-Cookie") or "").split(";")[0]


def load(port: int, cookie: str, clients: int, seconds: float) -> tuple[float, list[float], int]:
    """So many clients fetch Today and a chart by turns: answers a second, times, errors."""
    times: list[float] = []
    errors = [0]
    until = time.monotonic() + seconds

    def client() -> None:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        turn = 0
        while time.monotonic() < until:
            turn += 1
            path = "/tank/1/charts/temperature?days=30" if turn % 5 == 0 else "/tank/1/"
            begun = time.monotonic()
            connection.request("GET", path, headers={"Cookie": cookie})
            answer = connection.getresponse()
            answer.read()
            times.append(time.monotonic() - begun)
            errors[0] += answer.status != 200
        connection.close()

    threads = [threading.Thread(target=client) for _ in range(clients)]
    begun = time.monotonic()
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    return len(times) / (time.monotonic() - begun), times, errors[0]


def _memory(pid: int) -> float:
    found = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{pid}/status").read_text("ascii"))
    return float(found[1]) / 1000 if found else float("nan")


def of_load(folder: Path, seconds: float) -> Iterator[Bar]:
    """Eight clients beside forty, and the memory afterwards beside after the first chart."""
    filled(folder, tank_count=1, years=1).close()
    with serving(folder) as (link, port, pid):
        cookie = sign_in(link, port)
        load(port, cookie, 1, 1.0)
        before = _memory(pid)
        few, _, errors_few = load(port, cookie, 8, seconds)
        many, times, errors = load(port, cookie, 40, seconds)
        ordered = sorted(times)
        middle, late = ordered[len(ordered) // 2], ordered[int(len(ordered) * 0.99)]
        yield Bar(
            name="40 clients: answers a second, of those with 8", value=many / few, bar=0.7,
            at_least=True, note=f"{errors + errors_few} errors",
        )  # fmt: skip
        yield Bar(name="40 clients: p99 over p50", value=late / middle, bar=6)
        yield Bar(name="memory after the load, of after one chart", value=_memory(pid) / before,
                  bar=1.4)  # fmt: skip
