"""A sitter's stay: packets planned with the link, and what the sitter writes through it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain import sitter
from app.domain.calendar import local_day
from app.domain.drafts import NewLook, NewMeal
from app.domain.errors import NotFound, Refused
from app.domain.guard import NewReading
from app.domain.photo import Picture
from app.domain.records import EntryStatus, Sign
from app.domain.sitter import DayPlan, Packet, Rhythm, Say
from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.rules.fasting import no_food_now
from app.services import entries, photos, tanks
from app.services.entries import Saved, Stamp
from app.services.photos import PhotoFacts
from app.services.sharing import links
from app.services.sharing.links import Link, LinkKind
from app.services.transaction import one_transaction
from app.storage.models.entry import Entry
from app.storage.models.links import SitterPacket


class Found(StrEnum):
    """What a sitter says of a visit: one of three buttons."""

    FINE = "fine"
    ODD = "odd"
    HELP = "help"


@dataclass(frozen=True, slots=True, kw_only=True)
class NewStay:
    """What an adult plans for a sitter. `chosen` counts days of the stay from 1."""

    label: str
    first_day: date
    last_day: date
    rhythm: Rhythm
    scoops: float
    chosen: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NewVisit:
    """What a sitter saw and did; `packet` is the number of the one that went in, or None."""

    found: Found
    packet: int | None = None
    seen: int | None = None
    readings: tuple[NewReading, ...] = ()


_SAID = {
    Found.FINE: NewLook(lid_closed=True, plug_on=True, breathing_calm=True),
    Found.ODD: NewLook(signs=(Sign.OTHER,), note="Something is odd."),
    Found.HELP: NewLook(signs=(Sign.OTHER,), note="Help was asked for."),
}


def plan(session: Session, tank_id: int, stay: NewStay) -> tuple[Packet, ...]:
    """The packets of a stay, as they would be filled now.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the days are in the wrong order or too many, or a chosen one is none of them.
    """
    most = int(load().value("sharing.longest-stay"))
    if stay.last_day < stay.first_day:
        raise Refused("The last day lies before the first.")
    days = sitter.stay(stay.first_day, stay.last_day)
    if len(days) > most:
        raise Refused(f"Plan {most} days at most. A second link may follow.")
    if any(not 1 <= n <= len(days) for n in stay.chosen):
        raise Refused(f"Count the days from 1 to {len(days)}.")
    if stay.rhythm is Rhythm.CHOSEN and not stay.chosen:
        raise Refused("Say on which days food goes in, such as 2, 5, 8.")
    tank = tanks.tank(session, tank_id)
    fed = sitter.feeding_days(
        stay.first_day,
        stay.last_day,
        stay.rhythm,
        weekdays=tank.plan.feed_weekdays,
        chosen=stay.chosen,
    )
    return sitter.packets_for(fed, stay.scoops, tank.scoop_grams)


def make(
    session: Session,
    tank_id: int,
    stay: NewStay,
    *,
    made_by_id: int,
    now: datetime,
    token: str = "",
) -> tuple[int, str]:
    """A sitter's link with its packets; returns its id and its token, as `links.make`.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the days cannot be.
    """
    packets = plan(session, tank_id, stay)
    with one_transaction(session):
        link_id, token = links.make(
            session,
            tank_id,
            LinkKind.SITTER,
            label=stay.label,
            first_day=stay.first_day,
            last_day=stay.last_day,
            made_by_id=made_by_id,
            now=now,
            token=token,
        )
        if packets_of(session, link_id):
            return link_id, token
        session.add_all(
            SitterPacket(
                link_id=link_id, number=p.number, day=p.day, grams=p.grams, scoops=p.scoops
            )
            for p in packets
        )
    return link_id, token


def packets_of(session: Session, link_id: int) -> tuple[Packet, ...]:
    """The packets of a link in order; a tick that was taken back does not count."""
    rows = session.execute(
        select(SitterPacket, Entry.status)
        .outerjoin(Entry, Entry.id == SitterPacket.entry_id)
        .where(SitterPacket.link_id == link_id)
        .order_by(SitterPacket.number)
    )
    return tuple(
        Packet(
            number=row.number,
            day=row.day,
            scoops=row.scoops,
            grams=row.grams,
            given=status not in (None, EntryStatus.WITHDRAWN.value),
        )
        for row, status in rows
    )


def day_of(link: Link, packets: Sequence[Packet], snapshot: TankSnapshot) -> DayPlan:
    """What the tank's local day says to the sitter."""
    against = no_food_now(snapshot, load())
    return sitter.day_plan(
        *days_of(link),
        packets,
        snapshot.today,
        fed=bool(snapshot.meals_on(snapshot.today)),
        against="" if against is None else f"{against.because}. Call the first number",
    )


def days_of(link: Link) -> tuple[date, date]:
    """First and last day of a sitter's link.

    Raises:
        NotFound: If the link has no days.
    """
    if link.first_day is None or link.last_day is None:
        raise NotFound(links.CLOSED)
    return link.first_day, link.last_day


def write_visit(
    session: Session,
    link: Link,
    visit: NewVisit,
    snapshot: TankSnapshot,
    *,
    token: str,
    now: datetime,
) -> Saved:
    """Write a visit down once: the packet as a meal, the rest as a look.

    Raises:
        Refused: If the packet is ticked already, or is not the one of this day.
        TokenReused: If the same form was saved before with other values.
    """
    look = replace(_SAID[visit.found], seen=visit.seen)
    stamp = _stamp(link, f"{token}-look", now)
    with one_transaction(session):
        entries.raise_revision(session, link.tank_id)
        if visit.packet is not None:
            _give(session, link, visit.packet, snapshot, _stamp(link, token, now))
        return entries.record(session, stamp, look, visit.readings, now=now)


def write_sign(
    session: Session, link: Link, sign: Sign | None, note: str, *, token: str, now: datetime
) -> Saved:
    """Write down once what it is that is odd; None for what is no sign.

    Raises:
        TokenReused: If the same form was saved before with other values.
    """
    look = NewLook(signs=() if sign is None else (sign,), note=note)
    return entries.record(session, _stamp(link, token, now), look, now=now)


def add_photo(
    session: Session, link: Link, picture: Picture, visit: Saved, *, token: str, now: datetime
) -> None:
    """Keep the photo of a visit; it waits until an adult looked at it.

    Raises:
        Refused: If the tank's room for photos is full.
    """
    photos.add(
        session,
        link.tank_id,
        picture,
        PhotoFacts(taken_at=now),
        author_id=_stamp(link, token, now).author_id,
        shown=False,
        token=token,
        now=now,
        entry_id=visit.entry_id,
    )


def _stamp(link: Link, token: str, now: datetime) -> Stamp:
    if link.author_id is None:
        raise NotFound(links.CLOSED)
    return Stamp(tank_id=link.tank_id, token=token, happened_at=now, author_id=link.author_id)


def _give(session: Session, link: Link, number: int, snapshot: TankSnapshot, stamp: Stamp) -> None:
    packets = packets_of(session, link.id)
    packet = next((p for p in packets if p.number == number), None)
    if packet is None:
        raise Refused("There is no packet of that number.")
    meal = NewMeal(scoops=packet.scoops)
    if packet.given:
        if entries.saved_before(session, stamp, meal, ()) is None:
            raise Refused(sitter.used_text(packet))
        return
    said = day_of(link, packets, snapshot)
    if said.say is not Say.GIVE or said.packet != packet:
        raise Refused(said.text)
    saved = entries.record(session, stamp, meal, now=stamp.happened_at)
    row = session.scalars(
        select(SitterPacket).where(SitterPacket.link_id == link.id, SitterPacket.number == number)
    ).one()
    row.entry_id = saved.entry_id
    session.flush()


def visited_days(session: Session, link: Link, zone: str) -> tuple[date, ...]:
    """The local days on which something was written through a link, in order."""
    rows = session.scalars(
        select(Entry.happened_at)
        .where(Entry.author_id == link.author_id, Entry.status == EntryStatus.OK.value)
        .order_by(Entry.happened_at)
    )
    return tuple(dict.fromkeys(local_day(at, zone) for at in rows))
