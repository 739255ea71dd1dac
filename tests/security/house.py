"""A class's tank and everybody who can reach it: people in each role, and holders of links."""

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

from flask import Flask
from flask.testing import FlaskClient

from app.clock import FixedClock
from app.domain.drafts import NewNote, NewTest
from app.domain.kit import SupplyFacts
from app.domain.people import Role
from app.domain.quantities import Quantity
from app.services import marks, supplies, target_templates
from app.services.access import passphrases
from app.services.sharing import links
from app.services.sharing.links import LinkKind
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, new_record, reading
from tests.web.conftest import new_app
from tests.web.roles import WORDS, client_of, unchecked

COOKIE = "sillpond"
_OF_USE = ("sign_in", "person", "evaluation", "incoming_file")
PEOPLE = (Role.KEEPER, Role.TECHNICIAN, Role.COORDINATOR, Role.HELPER)
KEEPERS_PASSPHRASE = "eleven pebbles under a fern"


@dataclass(frozen=True)
class Caller:
    """Somebody with a browser, and where they begin; `cookie` is empty without a session."""

    name: str
    client: FlaskClient
    start: str
    cookie: str


@dataclass
class House:
    """An application on a record, with those who come to it."""

    app: Flask
    record: Record
    clock: FixedClock
    callers: dict[str, Caller] = field(default_factory=dict)
    _log_then: tuple[int, int] = (0, 0)

    @property
    def file(self) -> Path:
        """The file of the record."""
        return Path(self.record.database.engine.url.database or "")

    def keep(self) -> None:
        """Remember the record as it stands, for `put_back`."""
        with closing(sqlite3.connect(self.file)) as now:
            now.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        shutil.copyfile(self.file, self._kept)

    def put_back(self) -> None:
        """Let the record be what it was, with all who were signed in then."""
        if self._log() != self._log_then:
            with self._both() as (kept, now):
                kept.backup(now)
            self._log_then = self._log()
        for caller in self.callers.values():
            self.come_back(caller)

    def come_back(self, caller: Caller) -> None:
        """Give a browser the session that it had, whatever the last answer did to it."""
        caller.client.delete_cookie(COOKIE)
        if caller.cookie:
            caller.client.set_cookie(COOKIE, caller.cookie)

    def changes(self) -> list[str]:
        """What stands otherwise in the record than when it was kept, but for days of use."""
        with self._both() as (kept, now):
            before, after = set(kept.iterdump()), set(now.iterdump())
        return sorted(line for line in before ^ after if not _is_of_use(line))

    def _log(self) -> tuple[int, int]:
        """The size and time of the log, to which every change goes first."""
        log = self.file.with_name(f"{self.file.name}-wal")
        about = log.stat() if log.exists() else None
        return (about.st_size, about.st_mtime_ns) if about else (0, 0)

    @contextmanager
    def _both(self) -> Iterator[tuple[sqlite3.Connection, sqlite3.Connection]]:
        """The record as it was kept, and as it stands."""
        with (
            closing(sqlite3.connect(self._kept)) as kept,
            closing(sqlite3.connect(self.file)) as now,
        ):
            yield kept, now

    @property
    def _kept(self) -> Path:
        return self.file.with_name("kept.sqlite")

    def invite_all(self) -> None:
        """Let somebody come in each role, and somebody with each kind of link."""
        with self.record.database.writing() as session:
            passphrases.set_passphrase(session, KEEPERS_PASSPHRASE)
        for role in PEOPLE:
            client = unchecked(client_of(role, self.app, self.record, self.clock))
            self._add(role.value, client, f"/tank/{self.record.tank_id}/", form="/device")
        for kind in LinkKind:
            end = ".ics" if kind is LinkKind.CALENDAR else ""
            folder = "calendar" if kind is LinkKind.CALENDAR else "v"
            start = f"/{folder}/{self.make_link(kind)}{end}"
            self._add(kind.value, self.new_client(), start)
        self._add("stranger", self.new_client(), "/join", form="/join")

    def _add(self, name: str, client: FlaskClient, start: str, *, form: str = "") -> None:
        """Add a caller; `form` is a page with a form, whose token the cookie then holds."""
        if form:
            client.get(form)
        cookie = client.get_cookie(COOKIE)
        self.callers[name] = Caller(name, client, start, cookie.value if cookie else "")

    def new_client(self) -> FlaskClient:
        """A browser that nobody used yet; its pages are not checked."""
        return FlaskClient(self.app, self.app.response_class, use_cookies=True)

    def make_link(self, kind: LinkKind) -> str:
        """The token of a new link that is open this week."""
        with self.record.database.writing() as session:
            _, token = links.make(
                session, self.record.tank_id, kind, label="A neighbor", first_day=MONDAY.date(),
                last_day=MONDAY.date() + timedelta(days=5),
                made_by_id=self.record.adult.author_id, now=self.clock.now(),
            )  # fmt: skip
        return token


def _is_of_use(line: str) -> bool:
    """Whether a row says who was seen when, what was worked out, or which file waits."""
    return line.startswith(tuple(f'INSERT INTO "{table}"' for table in _OF_USE))


def passphrase_of(role: Role) -> str:
    """What an invited adult in that role chose."""
    return WORDS.format(role.value.title())


@contextmanager
def house(folder: Path) -> Iterator[House]:
    """A lived-in record with an application of its own."""
    record, clock = new_record(folder), FixedClock(MONDAY)
    made = House(new_app(folder, clock, record.database), record, clock)
    _live_in(record)
    made.invite_all()
    made.keep()
    yield made
    record.database.close()


def _live_in(record: Record) -> None:
    """A few days of entries, and a row in registers whose forms are hard to fill."""
    record.write(ONE_SCOOP, at=record.now - timedelta(days=3), by=record.otter)
    record.write(ALL_FINE, at=record.now - timedelta(days=3), by=record.finch)
    record.write(NewNote(note="It hid."), at=record.now - timedelta(hours=1), by=record.otter)
    test = (reading(Quantity.PH, 7.4), reading(Quantity.NITRATE, 12.0))
    record.write(NewTest(), *test, at=record.now - timedelta(days=2))
    food = SupplyFacts(
        kind="food", name="Flakes", unit="g", left=40, counted_on=record.now.date()
    )  # fmt: skip
    with record.database.writing() as session:
        supplies.add(session, 1, food)
        target_templates.add(session, "Soft water")
        marks.assign(session, 1, "look", "Otter", author_id=record.adult.author_id, now=record.now)
