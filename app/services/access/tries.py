"""The growing wait after wrong passphrases. It stands in the record: it survives a restart."""

import hashlib
import hmac
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, delete, func, select
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.storage.base import folded
from app.storage.models.access import SignInTry

REMEMBERED = timedelta(hours=1)
FREE_TRIES = 5
# more than the wait for one name leaves anybody in an hour: it never locks another name
FREE_TRIES_FROM_ONE_ADDRESS = 30
LONGEST_WAIT = timedelta(minutes=15)
_FIRST_WAIT = timedelta(seconds=10)


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a try comes from; `key` is the secret of this installation."""

    address: str = ""
    key: str = ""


@dataclass(frozen=True, slots=True)
class Tried:
    """Whom somebody says they are, and where from: keyed hashes, of which nothing can be read."""

    name_hash: str
    address_hash: str


def tried(name: str, origin: Origin) -> Tried:
    """A try for this name from there; names count alike in whatever letters they are typed.

    A name that nobody has waits as long as any other.
    """
    return Tried(_keyed(folded(name.strip()), origin), _keyed(origin.address, origin))


def refuse_early(session: Session, who: Tried, *, now: datetime) -> None:
    """Refuse a try whose wait is not over; to be asked before any hash is computed.

    Raises:
        Refused: With the seconds that are left.
    """
    wait = max(
        _wait_left(session, SignInTry.name_hash == who.name_hash, FREE_TRIES, now),
        _wait_left(
            session, SignInTry.address_hash == who.address_hash, FREE_TRIES_FROM_ONE_ADDRESS, now
        ),
    )
    if wait:
        raise Refused(f"Wait {int(wait.total_seconds()) + 1} seconds, then try again.")


def remember_wrong(session: Session, who: Tried, *, now: datetime) -> None:
    """Keep a wrong try, and none that no longer counts."""
    session.execute(delete(SignInTry).where(SignInTry.tried_at <= now - REMEMBERED))
    session.add(SignInTry(tried_at=now, name_hash=who.name_hash, address_hash=who.address_hash))
    session.flush()


def forget_wrong(session: Session, who: Tried) -> None:
    """Begin anew for a name that was right."""
    session.execute(delete(SignInTry).where(SignInTry.name_hash == who.name_hash))


def _wait_left(session: Session, which: ColumnElement[bool], free: int, now: datetime) -> timedelta:
    count, newest = session.execute(
        select(func.count(SignInTry.id), func.max(SignInTry.tried_at)).where(
            SignInTry.tried_at > now - REMEMBERED, which
        )
    ).one()
    if count < free or newest is None:
        return timedelta(0)
    # doubled no more often than it takes to pass the longest wait
    newest_wait: timedelta = _FIRST_WAIT * 2 ** min(count - free, 16)
    until: datetime = newest + min(LONGEST_WAIT, newest_wait)
    return max(timedelta(0), until - now)


def _keyed(text: str, origin: Origin) -> str:
    return hmac.new(origin.key.encode(), text.encode(), hashlib.sha256).hexdigest()
