"""An application on a filled record, with clients that check every page they fetch."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from jinja2.bccache import Bucket, BytecodeCache

from app.clock import FixedClock
from app.factory import create_app
from app.services import people, sites
from app.settings import Settings
from app.storage.engine import Database
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record, empty_database, new_record
from tests.web.visits import csrf_of


@pytest.fixture
def clock() -> FixedClock:
    """The clock of the application; set `clock.moment` to let time pass."""
    return FixedClock(MONDAY)


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A class with one tank, an adult, and the tiles Otter and Finch."""
    made = new_record(tmp_path)
    yield made
    made.database.close()


@pytest.fixture
def app(tmp_path: Path, clock: FixedClock, record: Record) -> Flask:
    """The application on that record."""
    settings = Settings(data_folder=tmp_path, secret_key="only a test, never a secret")
    return build(settings, clock, record)


class _Compiled(BytecodeCache):
    """Templates compiled once a process: half the time of a test otherwise."""

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key in self.kept:
            bucket.bytecode_from_string(self.kept[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self.kept[bucket.key] = bucket.bytecode_to_string()


_COMPILED = _Compiled()


def build(settings: Settings, clock: FixedClock, record: Record) -> Flask:
    return serving(settings, clock, record.database)


def serving(settings: Settings, clock: FixedClock, database: Database) -> Flask:
    app = create_app(settings, clock, database)
    app.jinja_env.bytecode_cache = _COMPILED
    app.test_client_class = CheckedClient
    return app


@pytest.fixture
def stranger(app: Flask) -> CheckedClient:
    """Somebody whose browser is not signed in."""
    return new_client(app)


@pytest.fixture
def adult(app: Flask, record: Record, clock: FixedClock) -> CheckedClient:
    """The grown-up in charge, signed in with a link."""
    return signed_in(app, record, clock)


@pytest.fixture
def helper(app: Flask, record: Record, clock: FixedClock) -> CheckedClient:
    """A device that the grown-up has handed to the class."""
    client = signed_in(app, record, clock)
    answer = client.post("/device/hand-over", data={"csrf_token": csrf_of(client, "/device")})
    assert answer.status_code == 303
    return client


@pytest.fixture
def fresh(tmp_path: Path, clock: FixedClock) -> Iterator[CheckedClient]:
    """The grown-up in charge of a record in which nothing is set up yet."""
    folder = tmp_path / "fresh"
    folder.mkdir()
    database = empty_database(folder)
    app = serving(Settings(data_folder=folder, secret_key="only a test"), clock, database)
    with database.writing() as session:
        sites.set_site(session, sites.SiteDraft(name="Home", zone="America/New_York"))
        link = people.make_link(session, now=clock.now())
    client = new_client(app)
    client.get(f"/sign-in/{link}")
    yield client
    database.close()


def new_client(app: Flask) -> CheckedClient:
    client = app.test_client()
    assert isinstance(client, CheckedClient)
    return client


def signed_in(app: Flask, record: Record, clock: FixedClock) -> CheckedClient:
    with record.database.writing() as session:
        link = people.make_link(session, now=clock.now())
    client = new_client(app)
    assert client.get(f"/sign-in/{link}").status_code == 303
    return client
