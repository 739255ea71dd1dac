"""Passphrases: what is taken for one, how it is kept, and whether one is right."""

import unicodedata

from argon2 import PasswordHasher
from argon2.exceptions import VerificationError
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.passphrase import LONGEST, SHORTEST, is_common
from app.knowledge.passphrases import common
from app.services.access.people import first_keeper
from app.services.transaction import finish
from app.storage.models.access import Person

# argon2id, 19 MiB, t=2, p=1: OWASP Password Storage Cheat Sheet
_HASHER = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)
# of a random text that nobody kept: a name that is not there takes as long as a wrong passphrase
_NOBODYS = (
    "$argon2id$v=19$m=19456,t=2,p=1$/Wh+dXgHAQa1pPz6+OMeqA"
    "$o5DMMCZM60Q1ngsDaBjTdrmHI+CzNEi3tr77CAYw9A0"
)


def has_passphrase(session: Session) -> bool:
    """Whether an adult who is there has a passphrase."""
    return with_passphrase(session) > 0


def with_passphrase(session: Session) -> int:
    """How many adults have a passphrase; with several, signing in asks for the name too."""
    return (
        session.scalar(
            select(func.count(Person.id)).where(
                Person.passphrase_hash != "", Person.ended_at.is_(None)
            )
        )
        or 0
    )


def set_passphrase(session: Session, passphrase: str, *, person_id: int | None = None) -> None:
    """Set or change an adult's passphrase; without a person that of the first keeper.

    Raises:
        NotFound: If there is no such adult.
        Refused: If it is too short, too long, or one of those that are tried first.
    """
    hashed = hash_of(passphrase)
    person = first_keeper(session) if person_id is None else session.get_one(Person, person_id)
    person.passphrase_hash = hashed
    finish(session)


def hash_of(passphrase: str) -> str:
    """What is kept of a passphrase.

    Raises:
        Refused: If it is too short, too long, or one of those that are tried first.
    """
    typed = _normal(passphrase)
    if len(typed) < SHORTEST:
        raise Refused(
            f"A passphrase needs {SHORTEST} characters or more. Four or five words do well."
        )
    if len(typed) > LONGEST:
        raise Refused(f"A passphrase has up to {LONGEST} characters.")
    if is_common(typed, common()):
        raise Refused("That passphrase is one of the first that anybody would try.")
    return _HASHER.hash(typed)


def is_right(person: Person | None, passphrase: str) -> bool:
    """Whether it is this person's passphrase; it takes the same work where there is nobody."""
    kept = person.passphrase_hash if person is not None else ""
    try:
        _HASHER.verify(kept or _NOBODYS, _normal(passphrase))
    except VerificationError:
        return False
    return kept != ""


def _normal(passphrase: str) -> str:
    # one keyboard sends an accent as part of its letter, another one beside it
    return unicodedata.normalize("NFC", passphrase)
