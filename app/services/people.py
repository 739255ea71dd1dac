"""Who is there: one-time links, sessions, the passphrase, tiles and the hand-over to a class."""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from argon2 import PasswordHasher
from argon2.exceptions import VerificationError
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.people import Role
from app.services.transaction import finish
from app.storage.models.access import Author, Person, SignIn, SignInTry
from app.storage.models.classes import Helper, SchoolClass

LINK_LIFE = timedelta(hours=12)
SESSION_LIFE = timedelta(days=180)
SHORTEST_PASSPHRASE = 15
FREE_TRIES = 5
LONGEST_WAIT = timedelta(minutes=15)
# argon2id, 19 MiB, t=2, p=1: OWASP Password Storage Cheat Sheet
_HASHER = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)
_COMMON = ("password", "123456", "qwerty", "letmein", "iloveyou", "abcdef")


@dataclass(frozen=True, slots=True, kw_only=True)
class Visitor:
    """Who is signed in on this browser, and in which role.

    Of a helper's device, person and author are the adult who unlocked it.
    """

    session_id: int
    person_id: int
    author_id: int
    role: Role
    name: str
    last_hands_id: int | None

    @property
    def is_adult(self) -> bool:
        """Whether an adult holds this browser."""
        return self.role is not Role.HELPER


@dataclass(frozen=True, slots=True)
class Hands:
    """A tile: whose hands did it."""

    author_id: int
    name: str
    kind: str


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _keeper(session: Session) -> Person:
    person = session.scalar(select(Person).order_by(Person.id).limit(1))
    if person is None:
        person = Person(name="Grown-up in charge", role="keeper")
        session.add(person)
        session.flush()
    return person


def author_of_person(session: Session, person_id: int) -> int:
    """The author row of an adult, made when it is first needed."""
    found = session.scalar(select(Author).where(Author.person_id == person_id))
    if found is None:
        name = session.get_one(Person, person_id).name
        found = Author(kind="adult", name=name, person_id=person_id)
        session.add(found)
        session.flush()
    return found.id


def _open_sign_in(
    session: Session, kind: str, person_id: int, now: datetime, rights: str = "adult"
) -> str:
    token = secrets.token_urlsafe(24)
    life = LINK_LIFE if kind == "link" else SESSION_LIFE
    session.add(
        SignIn(
            token_hash=_digest(token),
            kind=kind,
            rights=rights,
            person_id=person_id,
            created_at=now,
            expires_at=now + life,
        )
    )
    session.flush()
    return token


def make_link(session: Session, *, now: datetime) -> str:
    """A one-time sign-in token for the adult who owns the machine; keeps 12 hours."""
    person = _keeper(session)
    author_of_person(session, person.id)
    token = _open_sign_in(session, "link", person.id, now)
    finish(session)
    return token


def use_link(session: Session, token: str, *, now: datetime) -> str:
    """Turn a one-time link into a session token.

    Raises:
        Refused: If the link was used, is too old or never existed: one sentence for all.
    """
    link = session.scalar(
        select(SignIn).where(SignIn.token_hash == _digest(token), SignIn.kind == "link")
    )
    if link is None or link.used_at is not None or link.expires_at < now:
        raise Refused("This link is closed. Get a new one with: sillpond link")
    link.used_at = now
    session_token = _open_sign_in(session, "session", link.person_id, now)
    finish(session)
    return session_token


def visitor_of(session: Session, session_token: str, *, now: datetime) -> Visitor | None:
    """Who holds this session token, or None when it ended."""
    row = session.execute(
        select(SignIn, Author.id, Author.name, Person.role)
        .join(Person, Person.id == SignIn.person_id)
        .join(Author, Author.person_id == Person.id)
        .where(SignIn.token_hash == _digest(session_token), SignIn.kind == "session")
    ).first()
    if row is None:
        return None
    found, author_id, name, role = row
    if found.ended_at is not None or found.expires_at < now:
        return None
    return Visitor(
        session_id=found.id,
        person_id=found.person_id,
        author_id=author_id,
        role=Role.HELPER if found.rights == "helper" else Role(role),
        name=name,
        last_hands_id=found.last_hands_id,
    )


def has_passphrase(session: Session) -> bool:
    """Whether an adult passphrase was set."""
    return session.scalar(select(Person.id).where(Person.passphrase_hash != "")) is not None


def set_passphrase(session: Session, passphrase: str) -> None:
    """Set or change the adult's passphrase.

    Raises:
        Refused: If it is shorter than 15 characters or made of the commonest ones.
    """
    if len(passphrase) < SHORTEST_PASSPHRASE:
        raise Refused("A passphrase needs 15 characters or more. Four or five words do well.")
    bare = passphrase.casefold()
    for word in _COMMON:
        bare = bare.replace(word, "")
    if len(set(bare)) < 4:
        raise Refused("That passphrase is one of the first that anybody would try.")
    person = _keeper(session)
    author_of_person(session, person.id)
    person.passphrase_hash = _HASHER.hash(passphrase)
    finish(session)


def _wait_left(session: Session, now: datetime) -> timedelta:
    since = now - timedelta(hours=1)
    tries, newest = session.execute(
        select(func.count(SignInTry.id), func.max(SignInTry.tried_at)).where(
            SignInTry.tried_at > since
        )
    ).one()
    if tries < FREE_TRIES or newest is None:
        return timedelta(0)
    wait = min(LONGEST_WAIT, timedelta(seconds=10 * 2 ** (tries - FREE_TRIES)))
    return max(timedelta(0), newest + wait - now)


def sign_in_with_passphrase(session: Session, passphrase: str, *, now: datetime) -> str:
    """A session token for the right passphrase; wrong ones make the next try wait longer.

    Raises:
        Refused: If it is wrong, or the wait is not over.
    """
    wait = _wait_left(session, now)
    if wait:
        raise Refused(f"Wait {int(wait.total_seconds()) + 1} seconds, then try again.")
    person = session.scalar(select(Person).where(Person.passphrase_hash != "").limit(1))
    if person is None:
        raise Refused("No passphrase is set. Use: sillpond link")
    try:
        _HASHER.verify(person.passphrase_hash, passphrase)
    except VerificationError:
        session.add(SignInTry(tried_at=now))
        finish(session)
        raise Refused("That is not the passphrase.") from None
    token = _open_sign_in(session, "session", person.id, now)
    finish(session)
    return token


def hand_over(session: Session, visitor: Visitor, *, now: datetime) -> str:
    """Give this browser to the class; returns its new session token (the old one ends)."""
    token = _open_sign_in(session, "session", visitor.person_id, now, rights="helper")
    session.get_one(SignIn, visitor.session_id).ended_at = now
    finish(session)
    return token


def sign_out(session: Session, visitor: Visitor, *, now: datetime) -> None:
    """End this browser's session on the server."""
    session.get_one(SignIn, visitor.session_id).ended_at = now
    finish(session)


def remember_hands(session: Session, visitor: Visitor, author_id: int) -> None:
    """Keep whose tile was used last on this browser, to preset it."""
    if visitor.last_hands_id != author_id:
        session.get_one(SignIn, visitor.session_id).last_hands_id = author_id
        finish(session)


def hands(session: Session) -> tuple[Hands, ...]:
    """All tiles: adults first, then the helpers who are there, by name."""
    rows = session.execute(
        select(Author.id, Author.name, Author.kind)
        .outerjoin(Helper, Author.helper_id == Helper.id)
        .where(Author.kind.in_(("adult", "helper")), Helper.left_on.is_(None))
        .order_by(Author.kind, Author.name)
    )
    return tuple(Hands(author_id, name, kind) for author_id, name, kind in rows)


def add_helper(session: Session, nickname: str, *, site_id: int = 1) -> int:
    """A new tile with a nickname from the shipped list; returns its author id.

    Raises:
        Refused: If a tile of that name is there already.
    """
    owner = session.scalar(select(SchoolClass).order_by(SchoolClass.id).limit(1))
    if owner is None:
        owner = SchoolClass(site_id=site_id, name="Helpers")
        session.add(owner)
        session.flush()
    taken = select(Helper.id).where(Helper.nickname == nickname, Helper.left_on.is_(None))
    if session.scalar(taken) is not None:
        raise Refused(f"There is a tile called {nickname} already.")
    helper = Helper(class_id=owner.id, nickname=nickname)
    session.add(helper)
    session.flush()
    author = Author(kind="helper", name=nickname, helper_id=helper.id)
    session.add(author)
    session.flush()
    finish(session)
    return author.id


def remove_helper(session: Session, author_id: int, *, now: datetime) -> None:
    """Put a tile away; its entries stay."""
    author = session.get_one(Author, author_id)
    if author.helper_id is not None:
        session.get_one(Helper, author.helper_id).left_on = now.date()
    finish(session)
