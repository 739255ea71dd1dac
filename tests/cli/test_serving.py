"""Serving: from the printed link to the first page, one server a record, an end on request."""

import os
import re
import signal
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from http.cookiejar import CookieJar
from pathlib import Path

import pytest

from app.cli import serving
from app.services.installation import keeping
from app.settings import Settings
from tests.cli.conftest import Run
from tests.record import MONDAY

WORDS = "four tall willow trees"


@dataclass
class Served:
    """A server in a process of its own, started by the command that people type."""

    process: subprocess.Popen[str]
    folder: Path
    url: str
    link: str

    def other(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Another command on the same record."""
        return subprocess.run(
            [sys.executable, "-m", "app", *words],
            env={**os.environ, "SILLPOND_DATA": str(self.folder)},
            capture_output=True,
            text=True,
            check=False,
        )


def browser() -> urllib.request.OpenerDirector:
    return urllib.request.build_opener(
        urllib.request.ProxyHandler({}), urllib.request.HTTPCookieProcessor(CookieJar())
    )


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("served")
    process = subprocess.Popen(
        [sys.executable, "-m", "app", "serve", "--no-browser", "--port", "0"],
        env={**os.environ, "SILLPOND_DATA": str(folder), "PYTHONUNBUFFERED": "1"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert process.stdout is not None
    lines = []
    for line in process.stdout:
        lines.append(line)
        if "Stop with Ctrl-C" in line:
            break
    found = re.search(r"(http://127\.0\.0\.1:\d+/)sign-in/\S+", "".join(lines))
    assert found, "".join(lines)
    yield Served(process, folder, found[1], found[0])
    process.kill()
    process.wait()
    process.stdout.close()


def test_who_is_not_signed_in_is_told_how_to_get_in(served: Served) -> None:
    with browser().open(served.url) as answer:
        assert answer.status == 200
        assert "sillpond link" in answer.read().decode()


def test_an_answer_does_not_name_the_server(served: Served) -> None:
    with browser().open(served.url) as answer:
        assert answer.headers["Server"] is None


def test_a_second_server_on_the_same_record_is_refused(served: Served) -> None:
    refused = served.other("serve", "--no-browser", "--port", "0")
    assert refused.returncode == 1
    assert served.url in refused.stderr
    assert "Traceback" not in refused.stderr


def test_a_new_link_signs_a_browser_in_and_counts_once(served: Served) -> None:
    link = served.other("link").stdout.strip()
    assert link.startswith(served.url)
    guest = browser()
    with guest.open(link) as answer:
        assert "sign-in" not in answer.url
    with guest.open(link) as again:
        assert "sign-in" not in again.url, "the browser that it signed in sees Today"
    with pytest.raises(urllib.error.HTTPError):
        browser().open(link)


def test_a_header_larger_than_any_browser_sends_is_refused(served: Served) -> None:
    asked = urllib.request.Request(served.url, headers={"X-Long": "x" * 40_000})
    with pytest.raises((urllib.error.HTTPError, ConnectionError, urllib.error.URLError)):
        browser().open(asked)
    with browser().open(served.url) as answer:
        assert answer.status == 200


@pytest.mark.skipif(os.name != "posix", reason="no such signal here")
def test_it_ends_when_it_is_told_to(served: Served) -> None:
    served.process.send_signal(signal.SIGTERM)
    assert served.process.wait(timeout=15) == 0
    assert served.other("link").returncode == 1
    assert keeping.check(Settings(data_folder=served.folder, secret_key="")).is_whole


# what is refused before anything is served


def test_a_port_that_is_taken_is_told_in_one_line(run: Run) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = str(other.getsockname()[1])
        for command in ("serve", "demo"):
            refused = run(command, "--no-browser", "--port", port)
            assert refused.exit_code == 1
            assert f"Port {port} is taken" in refused.stderr


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.7", "pond.example"])
def test_other_devices_are_kept_out_until_a_passphrase_is_set(run: Run, host: str) -> None:
    refused = run("serve", "--no-browser", "--port", "0", "--host", host)
    assert refused.exit_code == 1
    assert "sillpond passphrase" in refused.stderr


def test_with_a_passphrase_another_address_is_listened_on(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("passphrase", input=f"{WORDS}\n{WORDS}\n")
    calls: list[str] = []
    monkeypatch.setattr(
        serving, "serve", lambda _app, door, **_: calls.append(door.getsockname()[0])
    )
    told = run("serve", "--no-browser", "--port", "0", "--host", "0.0.0.0")
    assert told.exit_code == 0
    assert calls == ["0.0.0.0"]
    assert "From other devices: http://" in told.stdout


def test_an_address_of_another_computer_is_refused(run: Run) -> None:
    run("passphrase", input=f"{WORDS}\n{WORDS}\n")
    # 192.0.2.0/24 is kept for documentation (RFC 5737): no computer has such an address
    refused = run("serve", "--no-browser", "--port", "0", "--host", "192.0.2.7")
    assert refused.exit_code == 1
    assert "192.0.2.7 is not an address of this computer" in refused.stderr


@pytest.mark.parametrize(
    ("host", "is_own"),
    [
        ("127.0.0.1", True),
        ("127.8.8.8", True),
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),
        ("::", False),
        ("192.168.1.4", False),
        ("localhost.example", False),
    ],
)
def test_only_addresses_that_never_leave_the_computer_are_its_own(host: str, is_own: bool) -> None:
    assert serving.is_loopback(host) is is_own


def test_a_server_for_this_computer_answers_to_no_other_name() -> None:
    assert serving.names_of_this_computer("127.0.0.1") == ("127.0.0.1", "[::1]", "localhost")
    assert "10.1.2.3" in serving.names_of_this_computer("10.1.2.3")


def test_the_address_to_open_is_one_that_a_browser_understands() -> None:
    with serving.open_door("127.0.0.1", 0) as door:
        port = door.getsockname()[1]
        assert serving.url_of("0.0.0.0", door) == f"http://127.0.0.1:{port}/"
        assert serving.url_of("::1", door) == f"http://[::1]:{port}/"


def test_a_demo_leaves_no_folder_behind(
    run: Run, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[Path] = []
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setattr("app.services.demo.load", lambda *_, **__: None)

    def look(*_: object, **__: object) -> None:
        seen.extend(tmp_path.glob("sillpond-demo-*"))

    monkeypatch.setattr(serving, "serve", look)
    assert run("demo", "--no-browser", "--port", "0").exit_code == 0
    assert len(seen) == 1
    assert not seen[0].exists()
    assert not folder.exists(), "the demo never touches the own record"


def test_the_first_start_is_on_the_clock_of_this_computer(
    run: Run, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving, "serve", lambda *_, **__: None)
    assert run("serve", "--no-browser", "--port", "0").exit_code == 0
    database = keeping.open_record(settings, now=MONDAY)
    with database.reading() as session:
        zone = session.connection().exec_driver_sql("SELECT zone FROM site").scalar()
    database.close()
    assert zone == "America/New_York"
