"""Years of an ordinary record, made at once: so many tanks, the same for the same seed.

A tank and day: one feeding with its temperature and one temperature more; a week: a test of seven
values and a water change. Rows go in as the tables have them, not through the services.
"""

import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import insert, text

from app.domain.tank import TankFacts, TankShape
from app.services import care_plans, sites, tanks
from app.services.access import people, sign_ins
from app.services.school import tiles
from app.storage.engine import Database
from app.storage.models.entry import Entry
from app.storage.models.feeding import Feeding
from app.storage.models.maintenance import Job
from app.storage.models.water import Reading, WaterTest
from tests.record import empty_database

NOW = datetime(2027, 2, 8, 20, 0, tzinfo=UTC)
ZONE = "America/New_York"
WEEKLY = (
    ("ph", 7.2, ""), ("ammonia", 0.0, "as N"), ("nitrite", 0.0, "as nitrite"),
    ("nitrate", 15.0, "as nitrate"), ("kh", 6.0, ""), ("gh", 9.0, ""), ("temperature", 24.5, ""),
)  # fmt: skip
_CHUNK = 20_000

Rows = dict[type[Any], list[dict[str, Any]]]


def filled(folder: Path, *, tank_count: int, years: float, seed: int = 7) -> Database:
    """A database with so many tanks and years in it, looked through by ANALYZE."""
    folder.mkdir(parents=True, exist_ok=True)
    database = empty_database(folder)
    author_id = _set_up(database, tank_count)
    dice = random.Random(seed)
    entry_id = 0
    for tank_id in range(1, tank_count + 1):
        rows: Rows = {Entry: [], Feeding: [], WaterTest: [], Job: [], Reading: []}
        for made in _life(tank_id, author_id, years, dice):
            entry_id += 1
            for table, row in made:
                key = "id" if table is Entry else "entry_id"
                rows[table].append({key: entry_id, **row})
        _insert(database, rows)
    with database.engine.begin() as connection:
        connection.execute(text("ANALYZE"))
    return database


def _set_up(database: Database, tank_count: int) -> int:
    with database.writing() as session:
        sites.set_site(session, sites.SiteDraft(name="Lowmoor", zone=ZONE))
        shape = TankShape(length_cm=78, width_cm=34, water_depth_cm=36, rim_cm=42)
        for number in range(tank_count):
            tank_id = tanks.add_tank(
                session,
                TankFacts(
                    name=f"Tank {number + 1:03}", shape=shape, started_on=NOW.date(),
                    mature_on=NOW.date(), has_heater=False,
                ),
            )  # fmt: skip
            care_plans.set_plan(session, tank_id, tanks.tank(session, tank_id).plan)
        tiles.add_helper(session, "Otter")
        keeper = people.first_keeper(session)
        author = people.author_of_person(session, keeper.id)
        session.commit()
    return author


def _life(
    tank_id: int, author_id: int, years: float, dice: random.Random
) -> Iterator[list[tuple[type[Any], dict[str, Any]]]]:
    for back in range(int(365 * years), -1, -1):
        day = NOW - timedelta(days=back, minutes=dice.randrange(300))
        warmth = 24.5 + dice.choice((-0.2, -0.1, 0.0, 0.1, 0.2))
        yield [
            _entry(tank_id, author_id, "feeding", day),
            (Feeding, {"kind": "feeding", "scoops": 1.0, "grams": 0.12, "amount_words": ""}),
            _reading(tank_id, day, "temperature", warmth, ""),
        ]
        later = day + timedelta(hours=2)
        yield [
            _entry(tank_id, author_id, "water_test", later),
            (WaterTest, {"kind": "water_test", "note": ""}),
            _reading(tank_id, later, "temperature", warmth, ""),
        ]
        if back % 7 == 0:
            yield [
                _entry(tank_id, author_id, "water_test", later),
                (WaterTest, {"kind": "water_test", "note": ""}),
                *(_reading(tank_id, later, q, value, basis) for q, value, basis in WEEKLY),
            ]
            yield [
                _entry(tank_id, author_id, "job", later),
                (Job, {"kind": "job", "tank_id": tank_id, "happened_at": later,
                       "job": "water_change", "liters_out": 20.0, "liters_in": 20.0,
                       "treated": "yes", "step": "", "note": ""}),
            ]  # fmt: skip


_numbers = iter(range(1, 1 << 40))


def _entry(
    tank_id: int, author_id: int, kind: str, at: datetime
) -> tuple[type[Any], dict[str, Any]]:
    return Entry, {
        "tank_id": tank_id, "kind": kind, "happened_at": at, "local_day": at.date(),
        "recorded_at": at, "author_id": author_id, "token": f"bench-{next(_numbers)}",
        "digest": "", "status": "ok", "reason": "",
    }  # fmt: skip


def _reading(
    tank_id: int, at: datetime, quantity: str, value: float, basis: str
) -> tuple[type[Any], dict[str, Any]]:
    unit = {"temperature": "°C", "ph": "", "kh": "°dKH", "gh": "°dGH"}.get(quantity, "mg/L")
    return Reading, {
        "tank_id": tank_id, "quantity": quantity, "at": at, "value": value, "typed": f"{value:g}",
        "unit": unit, "basis": basis, "in_force": True,
    }  # fmt: skip


def _insert(database: Database, rows: Rows) -> None:
    with database.engine.begin() as connection:
        for table in (Entry, Feeding, WaterTest, Job, Reading):
            found = rows[table]
            for at in range(0, len(found), _CHUNK):
                connection.execute(insert(table), found[at : at + _CHUNK])


def link_of(database: Database) -> str:
    """A one-time link of the keeper."""
    with database.writing() as session:
        return sign_ins.make_link(session, now=NOW)
