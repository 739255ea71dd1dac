"""A district of ten schools with thirty tanks each, written fast, on one Monday morning."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from flask import Flask
from sqlalchemy import insert, text
from sqlalchemy.orm import Session

from app.clock import FixedClock
from app.domain.drafts import Draft
from app.domain.people import Role
from app.domain.trace import Sharing
from app.services import entries, sites
from app.services.access import people, sign_ins
from app.services.entries import Stamp
from app.services.sites import SiteDraft
from app.storage.models.entry import Entry
from app.storage.models.kit import Equipment
from app.storage.models.livestock import Observation, StockBatch, StockEvent, StockGroup
from app.storage.models.tank import Tank
from tests.page_checker import CheckedClient
from tests.record import MONDAY, ZONE, Record, empty_database
from tests.web.conftest import new_client, serving

SCHOOLS, EACH = 10, 30
TANKS = SCHOOLS * EACH
SCHOOL_DAYS = frozenset(range(5))
TUESDAY = date(2027, 2, 2)
WEDNESDAY = date(2027, 2, 3)
ACT = tuple(range(1, 13))
"""Tanks 1 to 12: the plug was off this morning, one minute later in each."""
UNSEEN = (*range(100, 107), 299, 300)
"""Nine tanks at which somebody looked last on a Tuesday or before; two are of the last school."""
LOT = (3, 4, *range(40, 52))
"""Fourteen tanks with a heater of lot H-17."""
BATCH = (20, 21, 22)
"""Tanks into which fish of batch B-204 came on Wednesday."""


@dataclass
class District:
    """The record with its application; everybody's hands are those of the first adult."""

    app: Flask
    record: Record
    clock: FixedClock

    def keeper(self) -> CheckedClient:
        """The keeper of all tanks, on a browser of their own."""
        with self.record.database.writing() as session:
            link = sign_ins.make_link(session, now=self.clock.now())
        client = new_client(self.app)
        assert client.get(f"/sign-in/{link}").status_code == 303
        return client

    def write(
        self, tank_id: int, draft: Draft, at: datetime, shared: Sequence[Sharing] = ()
    ) -> int:
        """Write one entry down; returns its id."""
        stamp = Stamp(
            tank_id=tank_id,
            token=f"shared-{tank_id}-{at:%d%H%M}",
            happened_at=at,
            author_id=self.record.adult.author_id,
            shared=tuple(shared),
        )
        with self.record.database.writing() as session:
            return entries.record(session, stamp, draft, now=self.record.now).entry_id


@contextmanager
def district(folder: Path, clock: FixedClock) -> Iterator[District]:
    """The district on a fresh file, served."""
    database = empty_database(folder)
    with database.writing() as session:
        for number in range(1, SCHOOLS + 1):
            draft = SiteDraft(name=f"School {number}", zone=ZONE, present_weekdays=SCHOOL_DAYS)
            sites.add_site(session, draft)
        token = sign_ins.use_link(session, sign_ins.make_link(session, now=MONDAY), now=MONDAY)
        adult = sign_ins.visitor_of(session, token, now=MONDAY)
        assert adult is not None
        assert adult.role is Role.KEEPER
        _fill(session, adult)
        session.commit()
    record = Record(database, 1, adult, 0, 0)
    with serving(folder, clock, database) as app:
        yield District(app, record, clock)
    database.close()


def school_of(tank_id: int) -> int:
    """The school in which a tank stands."""
    return (tank_id - 1) // EACH + 1


def _fill(session: Session, adult: people.Visitor) -> None:
    rows: dict[type[Any], list[dict[str, Any]]] = {
        Tank: [_tank(n) for n in range(1, TANKS + 1)],
        Entry: [],
        Observation: [],
        StockGroup: [],
        StockBatch: [],
        StockEvent: [],
        Equipment: [{"tank_id": n, "kind": "heater", "name": "Heater", "lot": "H-17"} for n in LOT],
    }
    for tank_id in range(1, TANKS + 1):
        at = _looked_at(tank_id)
        rows[Entry].append(_entry(tank_id, tank_id, "observation", at, adult.author_id))
        rows[Observation].append(
            {"entry_id": tank_id, "lid_closed": True, "plug_on": tank_id not in ACT}
        )
    came = datetime.combine(WEDNESDAY, MONDAY.timetz())
    for number, tank_id in enumerate(BATCH, start=1):
        entry_id = TANKS + number
        rows[Entry].append(_entry(entry_id, tank_id, "stock_event", came, adult.author_id))
        group = {"id": number, "tank_id": tank_id, "name": "tetra", "folded": "tetra"}
        rows[StockGroup].append(group)
        rows[StockBatch].append({"id": number, "group_id": number, "label": "B-204"})
        rows[StockEvent].append(
            {
                "entry_id": entry_id, "what": "arrived", "group_id": number, "count": 6,
                "batch_id": number,
            }
        )  # fmt: skip
    for table, those in rows.items():
        session.execute(insert(table), those)
        if session.get_bind().dialect.name == "postgresql" and "id" in those[0]:
            # its counters do not know of numbers that were given
            name = table.__tablename__
            counter = f"pg_get_serial_sequence('{name}', 'id')"
            session.execute(text(f"SELECT setval({counter}, max(id)) FROM {name}"))


def _looked_at(tank_id: int) -> datetime:
    """This morning; the unseen ones on Tuesday, the last of them first."""
    if tank_id in UNSEEN:
        first = datetime.combine(TUESDAY, MONDAY.timetz())
        return first - timedelta(minutes=UNSEEN.index(tank_id))
    return MONDAY - timedelta(minutes=30) + timedelta(minutes=tank_id if tank_id in ACT else 0)


def _tank(number: int) -> dict[str, Any]:
    name = f"Tank {number:03}"
    return {
        "id": number,
        "site_id": school_of(number),
        "name": name,
        "folded": name.casefold(),
        "setting": "class",
        "length_cm": 60.0,
        "width_cm": 30.0,
        "room": f"Room {(number - 1) % EACH + 1}",
        "round": f"Round {(school_of(number) - 1) // 5 + 1}",
        "started_on": date(2025, 9, 1),
        "mature_on": date(2025, 11, 1),
    }


def _entry(entry_id: int, tank_id: int, kind: str, at: datetime, author: int) -> dict[str, Any]:
    return {
        "id": entry_id,
        "tank_id": tank_id,
        "kind": kind,
        "happened_at": at,
        "local_day": at.date(),
        "recorded_at": at,
        "author_id": author,
        "token": f"row-{entry_id}",
        "digest": "",
    }
