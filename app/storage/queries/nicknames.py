"""The nicknames of tiles, and what people typed read without them."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.nicknames import any_of
from app.knowledge.load import load
from app.storage.base import words_read
from app.storage.models.access import A_HELPER, Author
from app.storage.models.classes import Helper


def kept(session: Session) -> dict[int, str]:
    """The nicknames that were not replaced, in all classes, by the number of their author."""
    rows = session.execute(
        select(Author.id, Author.name)
        .outerjoin(Helper, Helper.id == Author.helper_id)
        .where(Author.kind == "helper", Helper.past_number.is_(None))
    )
    return dict(iter(rows))  # rows are pairs


def without(session: Session) -> Callable[[str], str]:
    """How words are read by whoever sees no pupils: "a helper" in the place of each nickname.

    One that also names what may be in a tank is a nickname as it stands on the tile only.
    """
    found = any_of(frozenset(kept(session).values()), load().tank_words)
    return str if found is None else lambda text: found.sub(A_HELPER, text)


@contextmanager
def unread(session: Session) -> Iterator[None]:
    """Meanwhile words that people typed are read `without` nicknames."""
    with words_read(without(session)):
        yield
