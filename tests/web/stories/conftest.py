"""A class's tank and a household's tank, with a calm past, seen through pages only."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from flask import Flask
from flask.testing import FlaskClient

from app.clock import FixedClock
from app.domain.drafts import NewJob, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Rinse, Treated
from app.services import tanks
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, new_record, reading
from tests.web.conftest import new_client, serving, signed_in
from tests.web.stories.browsing import Page, visit

NEW_YORK = ZoneInfo("America/New_York")


def wall(text: str) -> datetime:
    """A time on the tank's wall clock, as "2027-02-08 8:41"."""
    return datetime.strptime(text, "%Y-%m-%d %H:%M").replace(tzinfo=NEW_YORK)


@dataclass
class Place:
    """A tank with its clock, and the devices on which its pages are opened."""

    app: Flask
    record: Record
    clock: FixedClock

    def at(self, text: str) -> None:
        """Let the tank's wall clock show this time."""
        self.clock.moment = self.record.now = wall(text).astimezone(MONDAY.tzinfo)

    def pass_time(self, **parts: float) -> None:
        """Let time pass, as `pass_time(minutes=3)`."""
        self.clock.moment = self.record.now = self.clock.moment + timedelta(**parts)

    def adult(self) -> CheckedClient:
        """A device on which the grown-up in charge is signed in from now on."""
        return signed_in(self.app, self.record, self.clock)

    def class_device(self) -> CheckedClient:
        """A device that the grown-up hands to the class."""
        client = self.adult()
        handed = visit(client, "/device").press("Hand it to the helpers")
        assert handed.status == 200
        return client

    def url(self, page: str = "") -> str:
        """The address of a page of the tank."""
        return f"/tank/{self.record.tank_id}/{page}"

    def open(self, client: FlaskClient, page: str = "") -> Page:
        """Open a page of the tank, Today unless another is named."""
        found = visit(client, self.url(page))
        assert found.status == 200, f"{found.path} answered {found.status}"
        return found

    def twin(self, client: CheckedClient) -> CheckedClient:
        """The same browser once more, for what happens at the same time."""
        other = new_client(self.app)
        cookie = client.get_cookie("sillpond")
        assert cookie is not None
        other.set_cookie("sillpond", cookie.value)
        return other


def calm_past(record: Record, until: datetime) -> None:
    """Two weeks in which everything was done and everything tested well, without a look today."""
    change = NewJob(
        job=JobKind.WATER_CHANGE, liters_out=21.3, liters_in=21.3, treated=Treated.YES,
        new_water_c=24.5,
    )  # fmt: skip
    good = [
        reading(Quantity.PH, 7.4),
        reading(Quantity.AMMONIA, 0.0),
        reading(Quantity.NITRITE, 0.0),
        reading(Quantity.NITRATE, 12.0),
        reading(Quantity.KH, 6.0),
    ]
    for days, draft, readings in (
        (9, NewTest(), good),
        (8, NewJob(job=JobKind.FILTER_RINSE, rinse=Rinse.TANK), []),
        (3, NewJob(job=JobKind.LIGHT_TIMER), []),
        (2, change, []),
        (2, NewTest(), good),
    ):
        record.write(draft, *readings, at=until - timedelta(days=days, hours=1))
    record.write_checks(until - timedelta(days=5))


def weigh_scoop(record: Record) -> None:
    """20 flat scoops weigh 2.4 g, so that one is 0.12 g."""
    with record.database.writing() as session:
        tanks.weigh_scoop(session, record.tank_id, 2.4, 20, now=record.now - timedelta(days=30))


@pytest.fixture
def place(app: Flask, record: Record, clock: FixedClock) -> Place:
    """The class's tank on Monday, 8 February 2027, 8:41, calm so far; nobody looked today."""
    calm_past(record, record.now)
    weigh_scoop(record)
    friday = record.now - timedelta(days=3)
    temperature = reading(Quantity.TEMPERATURE, 24.6)
    record.write(ONE_SCOOP, at=friday, by=record.finch)
    record.write(ALL_FINE, temperature, at=friday, by=record.finch)
    return Place(app, record, clock)


@pytest.fixture
def new_home(tmp_path: Path, clock: FixedClock) -> Iterator[Callable[[str], Place]]:
    """Makes the tank of a household that feeds every day, at a time on its wall clock."""
    folder = tmp_path / "home"
    folder.mkdir()
    record = new_record(folder, class_setting=False)
    with serving(folder, clock, record.database) as app:

        def make(moment: str) -> Place:
            place = Place(app, record, clock)
            place.at(moment)
            calm_past(record, record.now)
            return place

        yield make
    record.database.close()
