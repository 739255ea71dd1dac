"""Coming in and leaving: one-time links, passphrases, sessions.

A token is random and told once; only its hash is kept. Every sign-in makes a new one.
"""

import hashlib
import logging
import secrets
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import String, bindparam, cast, func, select, update
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.people import Role
from app.services.access import passphrases, tries
from app.services.access.people import IDLE_LIFE, Visitor, first_keeper, named, there
from app.services.access.tries import Origin
from app.services.transaction import finish
from app.storage.models.access import Author, Person, SignIn, TankAccess
from app.storage.models.classes import ClassTank

LINK_LIFE = timedelta(hours=12)
SESSION_LIFE = timedelta(days=180)
"""A session ends when it is as old as this, or was not used for `people.IDLE_LIFE`."""
_HERE = Origin()
_LOG = logging.getLogger(__name__)


class NotTheirs(Refused):
    """The passphrase that was asked for again is another one."""


def digest(token: str) -> str:
    """What is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def open_session(session: Session, person_id: int, now: datetime, **more: Any) -> str:
    """A new session of a person, inside a larger change; returns its token."""
    return _open(session, "session", person_id, now, now + SESSION_LIFE, seen_at=now, **more)


def _open(
    session: Session, kind: str, person_id: int, now: datetime, until: datetime, **more: Any
) -> str:
    token = secrets.token_urlsafe(24)
    session.add(
        SignIn(
            token_hash=digest(token),
            kind=kind,
            person_id=person_id,
            created_at=now,
            expires_at=until,
            **more,
        )
    )
    session.flush()
    return token


def make_link(session: Session, *, now: datetime) -> str:
    """A one-time sign-in token for the adult who owns the machine; keeps 12 hours."""
    person = first_keeper(session)
    token = _open(session, "link", person.id, now, now + LINK_LIFE)
    finish(session)
    return token


def use_link(session: Session, token: str, *, now: datetime) -> str:
    """Turn a one-time link into a session token.

    Raises:
        Refused: If the link was used, is too old or never existed: one sentence for all.
    """
    link = session.scalar(
        select(SignIn).where(SignIn.token_hash == digest(token), SignIn.kind == "link")
    )
    if link is None or link.used_at or link.ended_at or link.expires_at < now:
        raise Refused("This link is closed. Get a new one with: sillpond link")
    link.used_at = now
    session_token = open_session(session, link.person_id, now)
    finish(session)
    return session_token


def _numbers(column: Any, *which: Any) -> Any:
    """Numbers of rows as one text, so that a visitor is one statement."""
    return select(func.aggregate_strings(cast(column, String), " ")).where(*which).scalar_subquery()


_VISIT = (
    # columns, not objects: every request asks this
    select(
        SignIn.id,
        SignIn.rights,
        SignIn.person_id,
        SignIn.class_id,
        SignIn.last_hands_id,
        SignIn.created_at,
        SignIn.seen_at,
        SignIn.expires_at,
        Author.id.label("author_id"),
        Author.name,
        Person.role,
        Person.all_tanks,
        _numbers(TankAccess.tank_id, TankAccess.person_id == Person.id).label("of_person"),
        _numbers(ClassTank.tank_id, ClassTank.class_id == SignIn.class_id).label("of_class"),
    )
    .join(Person, Person.id == SignIn.person_id)
    .join(Author, Author.person_id == Person.id)
    .where(
        SignIn.token_hash == bindparam("token_hash"),
        SignIn.kind == "session",
        SignIn.ended_at.is_(None),
        Person.ended_at.is_(None),
    )
)


def visitor_of(session: Session, session_token: str, *, now: datetime) -> Visitor | None:
    """Who holds this session token, or None when it ended."""
    found = session.execute(_VISIT, {"token_hash": digest(session_token)}).first()
    if found is None:
        return None
    if found.expires_at < now or (found.seen_at or found.created_at) + IDLE_LIFE < now:
        return None
    is_device = found.rights == "helper"
    all_of_them = found.all_tanks and not is_device
    return Visitor(
        session_id=found.id,
        person_id=found.person_id,
        author_id=found.author_id,
        role=Role.HELPER if is_device else Role(found.role),
        name=found.name,
        last_hands_id=found.last_hands_id,
        tank_ids=None if all_of_them else _ids(found.of_class if is_device else found.of_person),
        class_id=found.class_id,
        last_day=found.seen_at.date() if found.seen_at else None,
    )


def _ids(text: str | None) -> frozenset[int]:
    return frozenset(int(number) for number in (text or "").split())


def see(session: Session, visitor: Visitor, *, now: datetime) -> None:
    """Keep that a session is used, to the day."""
    session.execute(update(SignIn).where(SignIn.id == visitor.session_id).values(seen_at=now))
    finish(session)


def sign_in_with_passphrase(
    session: Session,
    passphrase: str,
    *,
    now: datetime,
    name: str = "",
    origin: Origin = _HERE,
) -> str:
    """A session token for the right passphrase; wrong ones make the next try wait longer.

    Args:
        session: A session that writes.
        passphrase: What was typed.
        now: The present moment.
        name: Whose it is; "" where only one adult has a passphrase.
        origin: Where the try comes from.

    Raises:
        Refused: If it is wrong, the wait is not over, or nobody has a passphrase. Of a name that
            nobody has it says what it says of a wrong passphrase, after the same work.
    """
    if not passphrases.has_passphrase(session):
        raise Refused("No passphrase is set. Use: sillpond link")
    several = passphrases.with_passphrase(session) > 1
    if several and not name.strip():
        raise Refused("Enter your name too.")
    person = named(session, name) if several else _only_one(session)
    who = tries.tried(name if several or person is None else person.name, origin)
    tries.refuse_early(session, who, now=now)
    present = person if person is not None and person.ended_at is None else None
    if not passphrases.is_right(present, passphrase) or present is None:
        tries.remember_wrong(session, who, now=now)
        finish(session)
        raise Refused(
            "Name and passphrase do not fit together." if several else "That is not the passphrase."
        )
    tries.forget_wrong(session, who)
    token = open_session(session, present.id, now)
    finish(session)
    return token


def _only_one(session: Session) -> Person | None:
    return session.scalar(
        select(Person).where(Person.passphrase_hash != "", Person.ended_at.is_(None)).limit(1)
    )


def change_passphrase(
    session: Session,
    visitor: Visitor,
    present: str,
    wanted: str,
    *,
    now: datetime,
    origin: Origin = _HERE,
) -> None:
    """Change one's own passphrase, or set the first one; all other sessions of oneself end.

    Raises:
        NotTheirs: If the present one is wrong.
        Refused: If its wait is not over, or the new one is none.
    """
    person = there(session, visitor.person_id)
    if person.passphrase_hash:
        who = tries.tried(person.name, origin)
        tries.refuse_early(session, who, now=now)
        if not passphrases.is_right(person, present):
            tries.remember_wrong(session, who, now=now)
            finish(session)
            raise NotTheirs("That is not your present passphrase.")
        tries.forget_wrong(session, who)
    person.passphrase_hash = passphrases.hash_of(wanted)
    _end_all(session, person.id, now, but=visitor.session_id)
    finish(session)


def end_session(session: Session, visitor: Visitor, *, now: datetime) -> None:
    """End this browser's session on the server."""
    session.get_one(SignIn, visitor.session_id).ended_at = now
    finish(session)


def sign_out_everywhere(session: Session, person_id: int, *, now: datetime) -> None:
    """End all sessions and open links of an adult; the devices they unlocked stay.

    Raises:
        NotFound: If there is no such adult.
    """
    _end_all(session, there(session, person_id).id, now)
    finish(session)


def _end_all(session: Session, person_id: int, now: datetime, but: int | None = None) -> None:
    session.execute(
        update(SignIn)
        .where(
            SignIn.person_id == person_id,
            SignIn.kind.in_(("session", "link")),
            SignIn.rights == "adult",
            SignIn.ended_at.is_(None),
            SignIn.id != (but or 0),
        )
        .values(ended_at=now)
    )


def remember_hands(session: Session, visitor: Visitor, author_id: int) -> None:
    """Keep whose tile was used last on this browser, to preset it.

    What was saved before stands already: where there is no room for this, the log says so.
    """
    if visitor.last_hands_id == author_id:
        return
    try:
        session.get_one(SignIn, visitor.session_id).last_hands_id = author_id
        finish(session)
    except DBAPIError:
        session.rollback()
        _LOG.warning("the last tile could not be kept", exc_info=True)
