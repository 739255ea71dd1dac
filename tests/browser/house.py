"""The demo with everything in it that its pages could show: links, photos, notes, a class."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from flask import Flask
from sqlalchemy.orm import Session

from app.clock import FixedClock
from app.domain.drafts import NewLook
from app.domain.people import Role
from app.domain.sitter import Rhythm
from app.factory import create_app
from app.services import entries, own_species, photos, private_notes, sites, target_templates
from app.services.access import invitations, sign_ins
from app.services.access.people import Visitor
from app.services.entries import Stamp
from app.services.own_species import SpeciesDraft
from app.services.photos import PhotoFacts
from app.services.school import classes, devices, tiles
from app.services.sharing import links, sitter
from app.services.sharing.links import LinkKind
from app.services.sharing.sitter import NewStay
from app.services.transaction import one_transaction
from app.settings import Settings
from app.storage.engine import Database
from tests.page_checker import CheckedClient
from tests.pictures import jpeg
from tests.record import MONDAY

HOME, CLASS = 1, 2
"""The demo's two tanks."""


@dataclass
class House:
    """A filled record that is served; `codes` are of its links and invitations, by name."""

    database: Database
    clock: FixedClock
    app: Flask
    codes: dict[str, str] = field(default_factory=dict)
    address: str = ""

    def link(self) -> str:
        """The address of a new one-time link for the adult in charge."""
        with self.database.writing() as session:
            return f"{self.address}/sign-in/{sign_ins.make_link(session, now=self.clock.now())}"


def furnish(database: Database, folder: Path) -> House:
    """What people would add to the demo of an invented home, on a Monday at 8:41."""
    clock = FixedClock(MONDAY)
    settings = Settings(data_folder=folder, secret_key="only a test", demo=True)
    house = House(database, clock, create_app(settings, clock, database))
    house.app.test_client_class = CheckedClient
    now = house.clock.now()
    with house.database.writing() as session, one_transaction(session):
        token = sign_ins.use_link(session, sign_ins.make_link(session, now=now), now=now)
        keeper = sign_ins.visitor_of(session, token, now=now)
        assert keeper is not None
        house.codes = _share(session, keeper, now)
        _fill_notebook(session, keeper, now)
        target_templates.add(session, "Quiet community")
        own_species.add(
            session,
            sites.FIRST,
            SpeciesDraft(
                scientific_name="Piscis imaginarius",
                common_name="paper fish",
                source="an invented book",
            ),
        )
        open_class = next(each for each in classes.classes(session) if each.ended_on is None)
        devices.unlock(session, keeper, open_class.id, "Window tablet", now=now)
    return house


def _share(session: Session, keeper: Visitor, now: datetime) -> dict[str, str]:
    """A link of each kind, and an invitation that waits."""
    first, last, author = now.date(), now.date() + timedelta(days=13), keeper.author_id
    stay = NewStay(
        label="Upstairs", first_day=first, last_day=last, rhythm=Rhythm.SECOND, scoops=1.0
    )
    found = {}
    for tank_id in (CLASS, HOME):
        _, found["sitter"] = sitter.make(session, tank_id, stay, made_by_id=author, now=now)
    for kind in (LinkKind.FAMILY, LinkKind.CALENDAR):
        _, found[kind.value] = links.make(
            session, HOME, kind, label="", first_day=first, last_day=last,
            made_by_id=author, now=now,
        )  # fmt: skip
    found["join"] = invitations.invite(
        session, keeper, "Ash", Role.TECHNICIAN, [HOME, CLASS], now=now
    )
    return found


def _fill_notebook(session: Session, keeper: Visitor, now: datetime) -> None:
    """Two photos from one spot, a third and a note of a tile that wait, a private note."""
    helper = next(t for t in tiles.hands(session) if t.kind == "helper")
    for tank_id in (HOME, CLASS):
        for number, (color, by, shown) in enumerate(
            (("teal", keeper.author_id, True), ("olive", keeper.author_id, True),
             ("navy", helper.author_id, False))
        ):  # fmt: skip
            at = now - timedelta(days=9 - 3 * number)
            photos.add(
                session, tank_id, photos.read(jpeg(color)),
                PhotoFacts(taken_at=at, spot="front", caption="The front"),
                author_id=by, shown=shown, token=f"photo-{tank_id}-{number}", now=now,
            )  # fmt: skip
        stamp = Stamp(
            tank_id=tank_id, token=f"note-{tank_id}", happened_at=now - timedelta(hours=1),
            author_id=helper.author_id,
        )  # fmt: skip
        entries.record(session, stamp, NewLook(note="A snail sits on the glass"), (), now=now)
        private_notes.write(
            session, tank_id, "Ask about the spare heater", author_id=keeper.author_id, now=now
        )
