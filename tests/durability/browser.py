"""A browser on a served record that keeps its cookie, also while the server is gone for a while."""

import http.client
import json
import re
import sqlite3
import time
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

from tests.durability.children import LONGEST, Child, Start, free_port, wait_until
from tests.record import new_record

GONE = (OSError, http.client.HTTPException)
"""What a request ends with when nobody answers."""


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    text: str
    location: str
    cookie: str


@dataclass(frozen=True)
class Meal:
    """A meal with its own number, as a form carries it."""

    token: str
    words: str
    temperature: str


@dataclass
class Served:
    """A record, the port at which it is served, and the process that does."""

    folder: Path
    port: int
    otter: int
    start: Start
    child: Child | None = None
    cookie: str = ""
    csrf: str = ""
    starts: list[float] = field(default_factory=list)

    @property
    def file(self) -> Path:
        """The file of the record."""
        return self.folder / "sillpond.sqlite"

    def up(self) -> str:
        """Start the server and wait for its first answer; returns the printed one-time link."""
        began = time.monotonic()
        child = self.start(self.folder, "serve", "--no-browser", "--port", str(self.port))
        self.child = child
        wait_until(
            lambda: "Stop with Ctrl-C" in child.words or not child.is_there, "no server comes up"
        )
        found = re.search(r"/sign-in/\S+", child.words)
        assert found, child.words
        assert self.ask("GET", "/healthz").text == "ok\n"
        self.starts.append(time.monotonic() - began)
        return found[0]

    def down(self) -> None:
        """Kill the server."""
        assert self.child is not None
        self.child.kill()

    def sign_in(self, link: str) -> None:
        """Come in as the grown-up who owns the machine."""
        self.cookie = self.ask("GET", link).cookie
        form = self.ask("GET", "/tank/1/feed")
        self.cookie = form.cookie or self.cookie
        found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', form.text)
        assert found, form.text
        self.csrf = found[1]

    def ask(
        self, method: str, path: str, data: dict[str, str] | None = None, patience: float = LONGEST
    ) -> Answer:
        """One request on a connection of its own.

        Raises:
            OSError, http.client.HTTPException: If no answer came.
        """
        with closing(http.client.HTTPConnection("127.0.0.1", self.port, timeout=patience)) as line:
            headers = {"Cookie": self.cookie} if self.cookie else {}
            if data is not None:
                headers["Content-Type"] = "application/x-www-form-urlencoded"
            line.request(method, path, urlencode(data) if data else None, headers)
            came = line.getresponse()
            text = came.read().decode()
            cookie = (came.getheader("Set-Cookie") or "").partition(";")[0]
            return Answer(came.status, text, came.getheader("Location") or "", cookie)

    def feed(self, meal: Meal, patience: float = LONGEST) -> Answer:
        """Send the form of a meal."""
        data = {
            "csrf_token": self.csrf, "token": meal.token, "hands": str(self.otter), "when": "now",
            "amount": "words", "amount_words": meal.words, "temperature": meal.temperature,
            "temperature_unit": "°C|", "again": "yes",
        }  # fmt: skip
        return self.ask("POST", "/tank/1/feed", data, patience)


def served(folder: Path, start: Start) -> Served:
    """A class's record that can be served, with nobody signed in yet."""
    folder.mkdir()
    record = new_record(folder)
    record.database.close()
    return Served(folder, free_port(), record.otter, start)


def written(file: Path) -> dict[str, tuple[str, str]]:
    """The meals of a whole record by token: what went in, and the temperature."""
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        rows = connection.execute(
            "SELECT e.token, f.amount_words, r.typed FROM entry e"
            " JOIN feeding f ON f.entry_id = e.id JOIN reading r ON r.entry_id = e.id"
        ).fetchall()
        alone = connection.execute(
            "SELECT count(*) FROM entry e WHERE e.kind = 'feeding' AND"
            " (NOT EXISTS (SELECT 1 FROM feeding f WHERE f.entry_id = e.id)"
            " OR NOT EXISTS (SELECT 1 FROM reading r WHERE r.entry_id = e.id))"
        ).fetchone()
    assert alone == (0,), "half an entry"
    assert len(rows) == len({token for token, *_ in rows}), json.dumps(rows)
    return {token: (words, typed) for token, words, typed in rows}
