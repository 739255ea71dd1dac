"""An application on a filled record, with clients that check every page they fetch."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from flask import Flask

from app.clock import FixedClock
from app.factory import create_app
from app.services import sites
from app.services.access import sign_ins
from app.settings import Settings
from app.storage.engine import Database
from app.web.request import Parts
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
def app(tmp_path: Path, clock: FixedClock, record: Record) -> Iterator[Flask]:
    """The application on that record."""
    with serving(tmp_path, clock, record.database) as app:
        yield app


@contextmanager
def serving(folder: Path, clock: FixedClock, database: Database) -> Iterator[Flask]:
    """An application on a record. One that a test gave back gets new parts and is taken again.

    Its routes and templates are compiled by then. Whoever hangs a page on an application or
    breaks one calls `new_app` instead.
    """
    app = _given_back.pop() if _given_back else new_app(folder, clock, database)
    app.extensions["sillpond"] = Parts(database, clock, settings_of(folder))
    config = dict(app.config)
    yield app
    assert app.config == config, "the next test would find this application changed"
    _given_back.append(app)


_given_back: list[Flask] = []


def new_app(folder: Path, clock: FixedClock, database: Database) -> Flask:
    """An application of its own, with clients that check every page."""
    app = create_app(settings_of(folder), clock, database)
    app.test_client_class = CheckedClient
    return app


def settings_of(folder: Path) -> Settings:
    return Settings(data_folder=folder, secret_key="only a test, never a secret")


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
    with database.writing() as session:
        sites.set_site(session, sites.SiteDraft(name="Home", zone="America/New_York"))
        link = sign_ins.make_link(session, now=clock.now())
    with serving(folder, clock, database) as app:
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
        link = sign_ins.make_link(session, now=clock.now())
    client = new_client(app)
    assert client.get(f"/sign-in/{link}").status_code == 303
    return client
