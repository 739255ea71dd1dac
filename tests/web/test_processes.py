"""One record on a PostgreSQL server, served by several processes: they are one to whoever asks."""

import os
import re
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from http.cookiejar import CookieJar
from pathlib import Path
from threading import Barrier
from urllib.error import HTTPError
from urllib.parse import urlencode

import pytest
from click.testing import CliRunner

from app.cli import main
from app.clock import SystemClock
from app.domain.errors import Refused
from app.domain.records import EntryKind
from app.services import story
from app.services.access import passphrases, sign_ins
from app.services.access.tries import FREE_TRIES
from app.wsgi import application
from tests.record import ON_SERVER, Record, new_record

WORDS = "four tall willow trees"


class Browser:
    """A browser that keeps its cookie; each request is a connection of its own."""

    def __init__(self) -> None:
        self._opener = urllib.request.build_opener(
            urllib.request.ProxyHandler({}), urllib.request.HTTPCookieProcessor(CookieJar())
        )

    def get(self, url: str, body: bytes | None = None) -> str:
        """The text of a page, also of one that says no."""
        try:
            with self._opener.open(url, body, timeout=60) as answer:
                return str(answer.read().decode())
        except HTTPError as refused:
            with refused:
                return refused.read().decode()

    def post(self, url: str, **fields: str) -> str:
        """The text of the page that a form leads to."""
        return self.get(url, urlencode(fields).encode())

    def csrf(self, url: str) -> str:
        """The token of the first form of a page."""
        found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', self.get(url))
        assert found, url
        return found[1]


@contextmanager
def process(command: list[str], environment: dict[str, str], said: str) -> Iterator[str]:
    """A server in a process of its own; what it printed up to the line that says where it is."""
    started = subprocess.Popen(
        [sys.executable, "-m", *command],
        env={**os.environ, **environment, "PYTHONUNBUFFERED": "1"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert started.stdout is not None
    try:
        lines = []
        for line in started.stdout:
            lines.append(line)
            found = re.search(said, line)
            if found:
                break
        else:
            pytest.fail("".join(lines))
        yield found[1]
    finally:
        started.terminate()
        started.wait()
        started.stdout.close()


@contextmanager
def two_servers(environment: dict[str, str]) -> Iterator[list[str]]:
    """Two servers, each on a port of its own."""
    command = ["app", "serve", "--no-browser", "--port", "0"]
    with ExitStack() as stack:
        yield [
            stack.enter_context(process(command, environment, r"served at (http://\S+)/$"))
            for _ in range(2)
        ]


@contextmanager
def one_of_workers(environment: dict[str, str]) -> Iterator[list[str]]:
    """A server whose two workers answer in turns at one port."""
    command = [
        "gunicorn",
        "-w",
        "2",
        "--preload",
        "--graceful-timeout",
        "1",
        "-b",
        "127.0.0.1:0",
        "app.wsgi:application()",
    ]
    with process(command, environment, r"Listening at: (http://\S+)") as url:
        yield [url, url]


@pytest.fixture(
    params=[
        pytest.param(one_of_workers, id="two workers"),
        pytest.param(
            two_servers,
            id="two servers",
            marks=pytest.mark.skipif(
                os.environ.get("SILLPOND_HEAVY") != "1",
                reason="each server imports all of it anew; set SILLPOND_HEAVY=1",
            ),
        ),
    ]
)
def served(
    request: pytest.FixtureRequest, tmp_path: Path
) -> Iterator[tuple[Record, list[str], Browser]]:
    """The addresses under which a record is served, and a browser that is signed in."""
    record = new_record(tmp_path, place=ON_SERVER)
    now = SystemClock().now()
    with record.database.writing() as session:
        passphrases.set_passphrase(session, WORDS)
        link = sign_ins.make_link(session, now=now)
    url = record.database.engine.url.render_as_string(hide_password=False)
    environment = {
        "SILLPOND_DATABASE_URL": url,
        "SILLPOND_DATA": str(tmp_path / "data"),
    }
    with request.param(environment) as urls:
        browser = Browser()
        browser.get(f"{urls[0]}/sign-in/{link}")
        yield record, urls, browser
    record.database.close()


def test_several_processes_are_one_to_whoever_asks(
    served: tuple[Record, list[str], Browser],
) -> None:
    record, urls, browser = served

    # a session that one of them began is known to all
    fields = {"csrf_token": browser.csrf(f"{urls[1]}/tank/1/feed"), "token": "one-and-the-same"}

    # the same form at all of them at once is one meal
    at_once = Barrier(6)

    def feed(number: int) -> str:
        at_once.wait()
        return browser.post(
            f"{urls[number % 2]}/tank/1/feed",
            **fields,
            hands=str(record.otter),
            when="now",
            amount="1",
            temperature="",
            temperature_unit="°C|",
        )

    with ThreadPoolExecutor(6) as pool:
        assert all("Saved" in text for text in pool.map(feed, range(6)))
    with record.database.reading() as session:
        meals = story.story(session, record.tank_id, kinds=frozenset({EntryKind.FEEDING}))
    assert len(meals.lines) == 1

    # what one of them saved all of them show
    for url in urls * 3:
        assert "feed-fed" in browser.get(f"{url}/tank/1/")

    # wrong passphrases are counted together
    stranger = Browser()
    token = stranger.csrf(f"{urls[0]}/")
    said = [
        stranger.post(f"{urls[n % 2]}/sign-in", csrf_token=token, passphrase="wrong words here")
        for n in range(FREE_TRIES + 2)
    ]
    assert ["Wait " in text for text in said] == [False] * FREE_TRIES + [True] * 2

    # a session that ends at one of them has ended at all
    browser.post(f"{urls[0]}/device/sign-out", csrf_token=browser.csrf(f"{urls[0]}/device"))
    for url in urls * 3:
        assert "sillpond link" in browser.get(f"{url}/tank/1/")


def test_workers_without_a_server_for_the_record_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SILLPOND_DATABASE_URL", "")
    monkeypatch.setenv("SILLPOND_DATA", str(tmp_path))
    with pytest.raises(Refused, match="Several processes need a PostgreSQL server"):
        application()
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("command", ["serve", "due", "backup", "check", "restore"])
def test_what_cannot_be_done_on_a_server_is_told_in_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    nowhere = f"postgresql://me:secret-word@/x?host={tmp_path}"
    monkeypatch.setenv("SILLPOND_DATABASE_URL", nowhere)
    monkeypatch.setenv("SILLPOND_DATA", str(tmp_path / "data"))
    words = [command, *([] if command in {"serve", "due", "check"} else [str(tmp_path / "file")])]
    run = CliRunner().invoke(main, words, prog_name="sillpond")
    assert run.exit_code == 1
    said = "pg_dump" if command in {"backup", "restore"} else "The record cannot be used"
    assert said in run.stderr
    assert "secret-word" not in run.output
