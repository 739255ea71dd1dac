"""The demo."""

from datetime import datetime, timedelta

from app.domain.drafts import NewMeal
from app.domain.records import TankShape
from app.services import entries, people, tanks
from app.services.entries import Stamp
from app.storage.engine import Database
from app.storage.file import Progress, no_progress


def load(
    database: Database, *, now: datetime, zone: str = "UTC", progress: Progress = no_progress
) -> None:
    """Fill an empty record."""
    with database.writing() as session:
        people.make_link(session, now=now)
        author = people.hands(session)[0].author_id
        shape = TankShape(length_cm=58, width_cm=28, rim_cm=35, water_depth_cm=30)
        tank = tanks.add_tank(session, tanks.TankDraft(name="Bare Pool", shape=shape))
        stamp = Stamp(tank_id=tank, token="a", happened_at=now - timedelta(hours=3), author_id=author)
        entries.record(session, stamp, NewMeal(), now=now)
