"""A helper's nickname is replaced everywhere: entries, readings, rota, typed words, files."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import delete, func, select, update
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.nicknames import past_name
from app.knowledge.load import load
from app.services.school import free_texts, tiles
from app.services.school.tiles import Tile
from app.services.transaction import begin, finish
from app.storage.models.access import Author, SignIn
from app.storage.models.classes import Duty, Helper, HelperAway
from app.storage.models.tank import Tank
from app.storage.queries import evaluations


@dataclass(frozen=True, slots=True, kw_only=True)
class Mention:
    """A text that people typed, with a nickname in it; `ticked`: it most likely means the helper.

    `key` stays the same as long as the text does.
    """

    key: str
    author_id: int
    nickname: str
    where: str
    day: date | None
    text: str
    ticked: bool


def named(session: Session, class_id: int) -> tuple[Tile, ...]:
    """The tiles of a class whose nickname is still kept, put away or not."""
    return tuple(t for t in tiles.of_class(session, class_id) if t.past_number is None)


def mentions(session: Session, author_ids: Sequence[int]) -> tuple[Mention, ...]:
    """The texts with the nicknames of these tiles.

    A word that also names what may be in a tank is ticked only where a helper had a hand in it.

    Raises:
        NotFound: If there is no such tile.
    """
    ambiguous = load().tank_words
    return tuple(
        Mention(
            key=f"{author_id}.{found.key}",
            author_id=author_id,
            nickname=tile.name,
            where=found.where,
            day=found.day,
            text=found.text,
            ticked=found.by_helper or tile.name not in ambiguous,
        )
        for author_id in author_ids
        for tile in (tiles.one(session, author_id),)
        for found in free_texts.find(session, tile.name)
    )


def replace(
    session: Session, author_ids: Sequence[int], chosen: Collection[str], *, now: datetime
) -> tuple[str, ...]:
    """Replace the nicknames of these tiles for good; returns what stands for each now.

    The tile is gone, its entries stay and count as before. Its turns and days away are
    forgotten. In typed texts the nickname is replaced where its mention is `chosen`. What was
    in the file is only gone after `Database.sweep`.

    Raises:
        NotFound: If there is no such tile.
        Refused: If a nickname was replaced before.
    """
    begin(session, *session.scalars(select(Tank.id)))
    found = mentions(session, author_ids)
    fresh = {author_id: _rename(session, author_id, now.date()) for author_id in author_ids}
    for mention in found:
        if mention.key in chosen:
            key = mention.key.partition(".")[2]
            free_texts.put_instead(session, key, mention.nickname, fresh[mention.author_id])
    evaluations.forget_texts(session)
    finish(session)
    return tuple(fresh.values())


def _rename(session: Session, author_id: int, today: date) -> str:
    """Put "Past helper" with the next number of the class in the place of a nickname."""
    tile = tiles.one(session, author_id)
    if tile.past_number is not None:
        raise Refused("This nickname was replaced before.")
    taken = session.scalar(
        select(func.max(Helper.past_number)).where(Helper.class_id == tile.class_id)
    )
    number = (taken or 0) + 1
    name = past_name(number)
    session.execute(update(Author).where(Author.id == author_id).values(name=name))
    session.execute(
        update(Helper)
        .where(Helper.id == tile.helper_id)
        .values(nickname=name, past_number=number, left_on=tile.left_on or today, on_duty=True)
    )
    session.execute(
        update(SignIn).where(SignIn.last_hands_id == author_id).values(last_hands_id=None)
    )
    session.execute(delete(HelperAway).where(HelperAway.helper_id == tile.helper_id))
    session.execute(delete(Duty).where(Duty.helper_id == tile.helper_id))
    session.execute(
        update(Duty).where(Duty.instead_of_id == tile.helper_id).values(instead_of_id=None)
    )
    return name
