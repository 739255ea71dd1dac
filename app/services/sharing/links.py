"""Links for people without a name here: made once, dated, ended with one tap.

Only the hash of a link's token is kept, so that nobody can read a link out of the record.
"""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.errors import NotFound, Refused
from app.knowledge.load import load
from app.services.entries import zone_of
from app.services.transaction import begin, finish
from app.storage.models.access import Author
from app.storage.models.links import Link as LinkRow
from app.storage.models.site import Site
from app.storage.models.tank import Tank
from app.storage.records import same_names

TOKEN_BYTES: Final = 24
"""192 bits; 128 would do against guessing."""
LONGEST_LABEL: Final = 80
LONGEST_TOKEN: Final = 64
CLOSED: Final = "This link is closed."
_SITTER: Final = "Sitter’s link"


class LinkKind(StrEnum):
    """What a link is for."""

    FAMILY = "family"
    SITTER = "sitter"
    CALENDAR = "calendar"


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A link as it stands in the list.

    `first_day` and `last_day` are local days of its tank, both included; None has no end.
    `author_id` is who writes what comes through a sitter's link.
    """

    id: int
    kind: LinkKind
    tank_id: int
    label: str
    first_day: date | None
    last_day: date | None
    ended_at: datetime | None
    last_used_on: date | None
    author_id: int | None

    def is_open_on(self, day: date) -> bool:
        """Whether it opens on a local day of its tank."""
        begun = self.first_day is None or self.first_day <= day
        over = self.last_day is not None and day > self.last_day
        return self.ended_at is None and begun and not over


def make(
    session: Session,
    tank_id: int,
    kind: LinkKind,
    *,
    label: str,
    first_day: date | None,
    last_day: date | None,
    made_by_id: int,
    now: datetime,
    token: str = "",
) -> tuple[int, str]:
    """A new link; returns its id and its token, which nobody can look up again.

    With a `token` of the caller's own, of no less chance, the same call again makes no second one.

    Raises:
        NotFound: If there is no such tank.
        Refused: If its last day is lacking, lies before its first, is over or too far away.
    """
    begin(session, tank_id)
    today = local_day(now, zone_of(session, tank_id))
    if kind is not LinkKind.CALENDAR:
        _check_days(first_day or today, last_day, today)
    token = token or secrets.token_urlsafe(TOKEN_BYTES)
    before = session.scalar(select(LinkRow.id).where(LinkRow.token_hash == hash_of(token)))
    if before is not None:
        session.rollback()
        return before, token
    row = LinkRow(
        kind=kind.value,
        token_hash=hash_of(token),
        tank_id=tank_id,
        label=label.strip()[:LONGEST_LABEL],
        first_day=first_day,
        last_day=last_day,
        made_at=now,
        made_by_id=made_by_id,
        author_id=_author(session) if kind is LinkKind.SITTER else None,
    )
    session.add(row)
    session.flush()
    finish(session)
    return row.id, token


def _check_days(first: date, last: date | None, today: date) -> None:
    longest = int(load().value("sharing.longest-link"))
    if last is None:
        raise Refused("Enter the last day.")
    if last < first:
        raise Refused("The last day lies before the first.")
    if last < today:
        raise Refused("The last day is over.")
    if (last - today).days > longest:
        raise Refused(f"A link lives {longest} days at most. Make a new one after that.")


def hash_of(token: str) -> str:
    """What is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def _author(session: Session) -> int:
    author = Author(kind="link", name=_SITTER)
    session.add(author)
    session.flush()
    return author.id


def links_of(session: Session, tank_id: int) -> tuple[Link, ...]:
    """All links of a tank, the newest first."""
    query = select(LinkRow).where(LinkRow.tank_id == tank_id).order_by(LinkRow.id.desc())
    return tuple(_link(row) for row in session.scalars(query))


def link(session: Session, tank_id: int, link_id: int) -> Link:
    """A link of a tank, open or not.

    Raises:
        NotFound: If the tank has no such link.
    """
    row = session.get(LinkRow, link_id)
    if row is None or row.tank_id != tank_id:
        raise NotFound("This tank has no such link.")
    return _link(row)


def open_link(session: Session, token: str, *kinds: LinkKind, now: datetime) -> Link:
    """The link behind a token, if it is open now and of one of these kinds.

    Raises:
        NotFound: If it ended, is over, has not begun, is of another kind or was invented: one
            sentence for all.
    """
    row = session.execute(
        select(LinkRow, Site.zone)
        .join(Tank, Tank.id == LinkRow.tank_id)
        .join(Site, Site.id == Tank.site_id)
        .where(LinkRow.token_hash == hash_of(token[: LONGEST_TOKEN + 1]))
    ).first()
    found = None if row is None else _link(row[0])
    if row is None or found is None or found.kind not in kinds:
        raise NotFound(CLOSED)
    if not found.is_open_on(local_day(now, row.zone)):
        raise NotFound(CLOSED)
    return found


def mark_used(session: Session, link_id: int, day: date) -> None:
    """Keep the day on which a link was last opened; no time, and not by whom."""
    row = session.get_one(LinkRow, link_id)
    if row.last_used_on != day:
        row.last_used_on = day
        finish(session)


def end(session: Session, tank_id: int, link_id: int, *, now: datetime) -> None:
    """End a link at once; twice is the same as once.

    Raises:
        NotFound: If the tank has no such link.
    """
    begin(session, tank_id)
    row = session.get(LinkRow, link_id)
    if row is None or row.tank_id != tank_id:
        raise NotFound("This tank has no such link.")
    if row.ended_at is None:
        row.ended_at = now
    finish(session)


def end_all(session: Session, *tank_ids: int, now: datetime) -> int:
    """End every link of these tanks, as when a school year is over; returns how many."""
    begin(session, *tank_ids)
    query = select(LinkRow).where(LinkRow.tank_id.in_(tank_ids), LinkRow.ended_at.is_(None))
    rows = session.scalars(query).all()
    for row in rows:
        row.ended_at = now
    finish(session)
    return len(rows)


def _link(row: LinkRow) -> Link:
    return same_names(Link, row, kind=LinkKind(row.kind))
