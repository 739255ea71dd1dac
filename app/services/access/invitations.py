"""Inviting an adult: a code that is told once, keeps a week, and lets one person in."""

import secrets
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.people import Role
from app.services.access import passphrases, people
from app.services.access.people import Visitor
from app.services.access.sign_ins import digest, open_session
from app.services.names import required
from app.services.transaction import finish
from app.storage.base import folded
from app.storage.models.access import Person, SignIn

LIFE: Final = timedelta(days=7)
# capital letters without I, L and O: 24 of 23 letters are 108 bits
LETTERS: Final = "ABCDEFGHJKMNPQRSTUVWXYZ"
GROUPS: Final = 4
LETTERS_IN_GROUP: Final = 6
_CLOSED: Final = "This invitation is closed. Ask for a new one."


@dataclass(frozen=True, slots=True, kw_only=True)
class Invitation:
    """An open invitation as the one who was invited sees it."""

    name: str
    role: Role
    until: datetime


def invite(
    session: Session,
    by: Visitor,
    name: str,
    role: Role,
    tank_ids: Collection[int] | None,
    *,
    now: datetime,
) -> str:
    """Invite somebody; returns the code, which is told this once.

    Who came before and has ended is invited under the same name, and goes on as the same author.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the name is empty or taken, nothing was chosen, or `by` may not do it.
    """
    people.refuse_limited(by)
    wanted = required(name, "Enter the name of the person.")
    if any(folded(known.name) == folded(wanted) for known in people.adults(session, now=now)):
        raise Refused(f"There is somebody called {wanted} already.")
    person = people.named(session, wanted)
    if person is None:
        person = Person(name=wanted, ended_at=now)
        session.add(person)
        session.flush()
    people.grant(session, person, role, tank_ids)
    code = _code_for(session, person.id, now)
    finish(session)
    return code


def invite_again(session: Session, by: Visitor, person_id: int, *, now: datetime) -> str:
    """A new code for an adult; the old one ends. For who lost the code, or the passphrase.

    Raises:
        NotFound: If there is no such adult.
        Refused: If `by` may not do it.
    """
    people.refuse_limited(by)
    code = _code_for(session, people.adult(session, person_id, now=now).person_id, now)
    finish(session)
    return code


def take_back(session: Session, by: Visitor, person_id: int, *, now: datetime) -> None:
    """End the open invitation of a person; one who has not come is gone from the list.

    Raises:
        NotFound: If there is no such adult.
        Refused: If `by` may not do it.
    """
    people.refuse_limited(by)
    _end_open(session, people.adult(session, person_id, now=now).person_id, now)
    finish(session)


def opened(session: Session, code: str, *, now: datetime) -> Invitation:
    """What an open invitation says; nothing is used up.

    Raises:
        NotFound: If it was used, taken back, is too old or never existed.
    """
    row = _open_row(session, code, now)
    person = session.get_one(Person, row.person_id)
    return Invitation(name=person.name, role=Role(person.role), until=row.expires_at)


def accept(session: Session, code: str, passphrase: str, *, now: datetime) -> str:
    """Come in: set the passphrase, use the invitation up; returns the new session's token.

    Raises:
        NotFound: If the invitation was used, taken back, is too old or never existed.
        Refused: If the passphrase is none; the invitation stays open.
    """
    row = _open_row(session, code, now)
    hashed = passphrases.hash_of(passphrase)
    person = session.get_one(Person, row.person_id)
    person.passphrase_hash = hashed
    person.ended_at = None
    people.author_of_person(session, person.id)
    row.used_at = now
    token = open_session(session, person.id, now)
    finish(session)
    return token


def written_in_groups(code: str) -> str:
    """A code as it is printed: "ABCDEF-GHJKMN-PQRSTU-VWXYZA"."""
    groups = (code[at : at + LETTERS_IN_GROUP] for at in range(0, len(code), LETTERS_IN_GROUP))
    return "-".join(groups)


def _plain(code: str) -> str:
    """The letters of a code, however it was typed."""
    return "".join(letter for letter in code.upper() if letter.isalpha())


def _open_row(session: Session, code: str, now: datetime) -> SignIn:
    row = session.scalar(
        select(SignIn).where(
            SignIn.token_hash == digest(_plain(code)),
            SignIn.kind == "invite",
            SignIn.used_at.is_(None),
            SignIn.ended_at.is_(None),
            SignIn.expires_at >= now,
        )
    )
    if row is None:
        raise NotFound(_CLOSED)
    return row


def _code_for(session: Session, person_id: int, now: datetime) -> str:
    _end_open(session, person_id, now)
    code = "".join(secrets.choice(LETTERS) for _ in range(GROUPS * LETTERS_IN_GROUP))
    session.add(
        SignIn(
            token_hash=digest(code),
            kind="invite",
            person_id=person_id,
            created_at=now,
            expires_at=now + LIFE,
        )
    )
    session.flush()
    return written_in_groups(code)


def _end_open(session: Session, person_id: int, now: datetime) -> None:
    session.execute(
        update(SignIn)
        .where(
            SignIn.person_id == person_id,
            SignIn.kind == "invite",
            SignIn.used_at.is_(None),
            SignIn.ended_at.is_(None),
        )
        .values(ended_at=now)
    )
