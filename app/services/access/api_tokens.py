"""Tokens of programs: what each may do, on which tanks, and its end.

A token is random and shown once; only its hash is kept. What it may do is looked up at each
request: it never reaches further than the adult who made it.
"""

import hashlib
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Final

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.people import Role
from app.services.access import rate_limits
from app.services.access.people import Visitor
from app.services.access.rate_limits import Limit
from app.services.names import required
from app.services.transaction import finish, one_transaction
from app.storage.models.access import Author, Person, TankAccess
from app.storage.models.api import ApiToken
from app.storage.models.tank import Tank

PREFIX: Final = "sillpond-"
"""With this a token begins, so that people and scanners know what it is."""
TOKEN_BYTES: Final = 24
"""192 bits; 128 would do against guessing."""
LONGEST_TOKEN: Final = 64
LONGEST_LABEL: Final = 80
MOST_OPEN: Final = 50
LIMIT: Final = Limit(most=120, seconds=60)
"""Two requests a second: a thermometer needs one in a quarter of an hour."""
_AUTHOR: Final = "A program"


class Scope(StrEnum):
    """What a program may do; each may also do what stands before it."""

    READ = "read"
    READINGS = "readings"
    ENTRIES = "entries"

    def covers(self, other: "Scope") -> bool:
        """Whether whoever may do this may also do the other."""
        order = list(Scope)
        return order.index(other) <= order.index(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """Who asks with a token. `tank_ids` are the tanks it reaches, None for all.

    `scope` is what it may do now; `last_used_on` is the day (UTC) of which is kept that it asked.
    """

    token_id: int
    author_id: int
    label: str
    scope: Scope
    tank_ids: frozenset[int] | None
    last_used_on: date | None

    def reaches(self, tank_id: int) -> bool:
        """Whether the tank, if there is one of that number, may be asked about."""
        return self.tank_ids is None or tank_id in self.tank_ids


@dataclass(frozen=True, slots=True, kw_only=True)
class TokenLine:
    """A token in the list; `tank` is the name of its one tank, "" for all of its maker's."""

    id: int
    label: str
    tank: str
    scope: Scope
    made_by: str
    made_at: datetime
    last_used_on: date | None
    ended_at: datetime | None


def new_token() -> str:
    """A token that nobody can guess."""
    return f"{PREFIX}{secrets.token_urlsafe(TOKEN_BYTES)}"


def hash_of(token: str) -> str:
    """What is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def make(
    session: Session,
    by: Visitor,
    *,
    label: str,
    scope: Scope,
    tank_id: int | None,
    token: str,
    now: datetime,
) -> int:
    """Keep a new token; returns its id. The same token again makes no second one.

    Args:
        session: A session that writes.
        by: The adult who makes it.
        label: What it is called in the list.
        scope: What it may do.
        tank_id: Its one tank; None for all that its maker has.
        token: What the program will show, from `new_token` or of no less chance.
        now: The present moment.

    Raises:
        NotFound: If there is no such tank, or it is not one of the maker's.
        Refused: If it has no name, or there are too many already.
    """
    known = session.scalar(select(ApiToken.id).where(ApiToken.token_hash == hash_of(token)))
    if known is not None:
        return known
    name = required(label, "Enter what the program is called.", LONGEST_LABEL)
    if tank_id is not None and not by.may_see(tank_id):
        raise NotFound("There is no such tank.")
    if tank_id is not None and session.get(Tank, tank_id) is None:
        raise NotFound("There is no such tank.")
    ending = select(ApiToken.id).where(ApiToken.ended_at.is_(None))
    if len(session.scalars(ending).all()) >= MOST_OPEN:
        raise Refused(f"There are {MOST_OPEN} programs already. End one that is not used.")
    author = Author(kind="token", name=_AUTHOR)
    session.add(author)
    session.flush()
    row = ApiToken(
        label=name,
        token_hash=hash_of(token),
        tank_id=tank_id,
        scope=scope.value,
        author_id=author.id,
        made_by_id=by.person_id,
        made_at=now,
    )
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def tokens(session: Session, by: Visitor) -> tuple[TokenLine, ...]:
    """Tokens that somebody may end, the newest first: who has not all tanks ends their own."""
    query = (
        select(ApiToken, Tank.name, Person.name)
        .join(Person, Person.id == ApiToken.made_by_id)
        .outerjoin(Tank, Tank.id == ApiToken.tank_id)
        .order_by(ApiToken.id.desc())
    )
    return tuple(
        TokenLine(
            id=row.id,
            label=row.label,
            tank=tank or "",
            scope=Scope(row.scope),
            made_by=maker,
            made_at=row.made_at,
            last_used_on=row.last_used_on,
            ended_at=row.ended_at,
        )
        for row, tank, maker in session.execute(query)
        if _may_end(by, row)
    )


def end(session: Session, by: Visitor, token_id: int, *, now: datetime) -> None:
    """End a token at once; twice is the same as once.

    Raises:
        NotFound: If there is no such token, or it is not theirs to end.
    """
    row = session.get(ApiToken, token_id)
    if row is None or not _may_end(by, row):
        raise NotFound("There is no such program.")
    if row.ended_at is None:
        row.ended_at = now
    finish(session)


def _may_end(by: Visitor, row: ApiToken) -> bool:
    return by.tank_ids is None or row.made_by_id == by.person_id


def program_of(session: Session, token: str) -> Program | None:
    """Who asks with a token; None for one that ended, was invented, or whose maker is gone.

    It is looked up by its hash: how long that takes tells nothing about other tokens.
    """
    if not token.startswith(PREFIX) or len(token) > LONGEST_TOKEN:
        return None
    row = session.execute(
        select(ApiToken, Person)
        .join(Person, Person.id == ApiToken.made_by_id)
        .where(
            ApiToken.token_hash == hash_of(token),
            ApiToken.ended_at.is_(None),
            Person.ended_at.is_(None),
        )
    ).first()
    if row is None:
        return None
    found, maker = row
    # who writes nothing makes nothing write
    writes = maker.role != Role.COORDINATOR.value
    return Program(
        token_id=found.id,
        author_id=found.author_id,
        label=found.label,
        scope=Scope(found.scope) if writes else Scope.READ,
        tank_ids=_reached(found.tank_id, None if maker.all_tanks else _tanks_of(session, maker.id)),
        last_used_on=found.last_used_on,
    )


def _tanks_of(session: Session, person_id: int) -> Sequence[int]:
    return session.scalars(
        select(TankAccess.tank_id).where(TankAccess.person_id == person_id)
    ).all()


def _reached(own: int | None, of_maker: Sequence[int] | None) -> frozenset[int] | None:
    if own is None:
        return None if of_maker is None else frozenset(of_maker)
    return frozenset({own} if of_maker is None else {own}.intersection(of_maker))


def come_in(session: Session, program: Program, *, now: datetime) -> int:
    """Count a request of a program, and keep the day on which it last asked.

    Neither the time is kept, nor what it asked for.

    Returns:
        The seconds after which it may ask again; 0 where it may now.
    """
    with one_transaction(session):
        if program.last_used_on != now.date():
            session.execute(
                update(ApiToken)
                .where(ApiToken.id == program.token_id)
                .values(last_used_on=now.date())
            )
        return rate_limits.count(session, f"program {program.token_id}", LIMIT, now=now)
