"""All that the record holds about one helper, for the helper's family to see."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.quantities import FACTS, Quantity
from app.services import story
from app.services.csv_text import csv_cell, csv_line
from app.services.school import classes, tiles
from app.services.school.tiles import Tile
from app.storage.models.access import SignIn
from app.storage.models.classes import Duty, HelperAway
from app.storage.models.entry import Entry, Withdrawal
from app.storage.models.forecast import Prediction, PredictionRound
from app.storage.models.notebook import Photo
from app.storage.models.tank import Tank
from app.storage.models.water import Reading

_COLUMNS = ("kind", "day", "tank", "what")


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldLine:
    """One thing that is held; `day` is the day as text, "" where there is none."""

    kind: str
    day: str
    tank: str
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A tile with everything that hangs on it, in the order in which it is shown."""

    tile: Tile
    class_name: str
    lines: tuple[HeldLine, ...]

    def csv(self) -> Iterator[str]:
        """The lines as CSV, with a head."""
        yield csv_line(_COLUMNS)
        for line in self.lines:
            cells = (line.kind, line.day, line.tank, line.what)
            yield csv_line([csv_cell(cell) for cell in cells])


def about(session: Session, author_id: int) -> Held:
    """Everything with this tile: its facts, entries, guesses, turns, days away, photos.

    Raises:
        NotFound: If there is no such tile.
    """
    tile = tiles.one(session, author_id)
    group = classes.one(session, tile.class_id)
    tanks = {each.id: each.name for each in session.execute(select(Tank.id, Tank.name))}
    zone = classes.place(session, tile.class_id).zone
    return Held(
        tile=tile,
        class_name=group.name,
        lines=(
            *_facts(session, tile),
            *_entries(session, author_id, tanks),
            *_taken_back(session, author_id, tanks),
            *_guesses(session, author_id, tanks, zone),
            *_photos(session, author_id, tanks, zone),
            *_rota(session, tile),
        ),
    )


def _line(kind: str, day: object, tank: str, what: str) -> HeldLine:
    return HeldLine(kind=kind, day=str(day), tank=tank, what=what)


def _facts(session: Session, tile: Tile) -> Iterator[HeldLine]:
    yield _line("Tile", "", "", f"Nickname from the list: {tile.name}")
    if tile.left_on is not None:
        yield _line("Tile", tile.left_on, "", "Put away")
    if not tile.on_duty:
        yield _line("Tile", "", "", "Not put on the rota")
    on_device = session.scalars(
        select(SignIn.device).where(
            SignIn.last_hands_id == tile.author_id, SignIn.ended_at.is_(None)
        )
    )
    for device in on_device:
        yield _line("Tile", "", "", f"Chosen last on the device “{device}”")


def _entries(session: Session, author_id: int, tanks: dict[int, str]) -> Iterator[HeldLine]:
    read = select(Reading.entry_id).where(Reading.reader_id == author_id)
    rows = session.execute(
        select(Entry.tank_id, Entry.id)
        .where(or_(Entry.author_id == author_id, Entry.done_by_id == author_id, Entry.id.in_(read)))
        .order_by(Entry.tank_id, Entry.id)
    ).all()
    for tank_id, name in tanks.items():
        ids = [entry_id for of_tank, entry_id in rows if of_tank == tank_id]
        for line in reversed(story.lines_of(session, tank_id, ids) if ids else ()):
            what = " · ".join((line.title, *line.lines))
            yield _line("Entry", line.local_day, name, what)


def _taken_back(session: Session, author_id: int, tanks: dict[int, str]) -> Iterator[HeldLine]:
    rows = session.execute(
        select(Entry.local_day, Entry.tank_id)
        .join(Withdrawal, Withdrawal.entry_id == Entry.id)
        .where(or_(Entry.author_id == author_id, Entry.done_by_id == author_id))
        .order_by(Entry.id)
    )
    for day, tank_id in rows:
        yield _line("Entry", day, tanks[tank_id], "Took an entry back")


def _guesses(
    session: Session, author_id: int, tanks: dict[int, str], zone: str
) -> Iterator[HeldLine]:
    rows = session.execute(
        select(Prediction.at, Prediction.typed, PredictionRound)
        .join(PredictionRound, PredictionRound.id == Prediction.round_id)
        .where(Prediction.author_id == author_id)
        .order_by(Prediction.at, Prediction.id)
    )
    for at, typed, played in rows:
        label = FACTS[Quantity(played.quantity)].label
        guess = f"{label}: {typed} {played.unit} {played.basis}".strip()
        yield _line("Guess", _day(at, zone), tanks[played.tank_id], guess)


def _photos(
    session: Session, author_id: int, tanks: dict[int, str], zone: str
) -> Iterator[HeldLine]:
    rows = session.execute(
        select(Photo.taken_at, Photo.tank_id, Photo.caption, Photo.state)
        .where(Photo.author_id == author_id)
        .order_by(Photo.taken_at, Photo.id)
    )
    for at, tank_id, caption, state in rows:
        what = f"{caption} ({state})" if caption else f"A photo ({state})"
        yield _line("Photo", _day(at, zone), tanks[tank_id], what)


def _rota(session: Session, tile: Tile) -> Iterator[HeldLine]:
    turns = select(Duty.day).where(Duty.helper_id == tile.helper_id).order_by(Duty.day)
    for day in session.scalars(turns):
        yield _line("On duty", day, "", "On the rota")
    away = select(HelperAway.day).where(HelperAway.helper_id == tile.helper_id)
    for day in session.scalars(away.order_by(HelperAway.day)):
        yield _line("Away", day, "", "Not there")


def _day(at: datetime, zone: str) -> object:
    return local_day(at, zone)
