"""Every text of the record that people type about anything: where a nickname may stand in it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from sqlalchemy import func, null, select, update
from sqlalchemy.orm import Session, aliased

from app.domain.nicknames import holds, replaced
from app.storage.base import Base
from app.storage.models.access import Author, SignIn
from app.storage.models.api import ApiToken
from app.storage.models.entry import Entry
from app.storage.models.exchange import ImportBatch
from app.storage.models.feeding import Feeding
from app.storage.models.kit import Equipment, Supply
from app.storage.models.links import Link
from app.storage.models.livestock import Observation, StockEvent
from app.storage.models.maintenance import Job
from app.storage.models.marks import TaskMark
from app.storage.models.notebook import Photo, PrivateNote
from app.storage.models.site import Break, PaperText
from app.storage.models.water import Logger, WaterTest


@dataclass(frozen=True, slots=True)
class _Place:
    """A column with free text; `of_entry`: its row is an entry, or the detail of one."""

    table: type[Base]
    column: str
    words: str
    of_entry: bool = False

    @property
    def key(self) -> Any:
        """The column that names a row."""
        return next(iter(self.table.__mapper__.primary_key))

    @property
    def text(self) -> Any:
        """The column that holds the text."""
        return self.table.__mapper__.columns[self.column]


_PLACES: Final = (
    _Place(Entry, "reason", "Reason of an entry", of_entry=True),
    _Place(Observation, "note", "Note of a look", of_entry=True),
    _Place(WaterTest, "note", "Note of a test", of_entry=True),
    _Place(Job, "note", "Note of a job", of_entry=True),
    _Place(StockEvent, "note", "Note about animals", of_entry=True),
    _Place(Feeding, "amount_words", "What was fed", of_entry=True),
    _Place(Logger, "file_name", "Name of a file", of_entry=True),
    _Place(Photo, "caption", "Words under a photo"),
    _Place(Photo, "spot", "Spot of a photo"),
    _Place(PrivateNote, "text", "Private note"),
    _Place(TaskMark, "reason", "Why a task waits"),
    _Place(TaskMark, "to_name", "Who does a task"),
    _Place(SignIn, "device", "Name of a device"),
    _Place(Link, "label", "Label of a link"),
    _Place(ApiToken, "label", "Name of a program"),
    _Place(ImportBatch, "file_name", "Name of a file that came in"),
    _Place(PaperText, "text", "Text for the papers"),
    _Place(Break, "name", "Name of days off"),
    _Place(Equipment, "name", "Name of a piece of equipment"),
    _Place(Equipment, "note", "Note on a piece of equipment"),
    _Place(Supply, "name", "Name of a supply"),
)

SEARCHED: Final = frozenset((p.table.__tablename__, p.column) for p in _PLACES)
"""The columns that are searched, as (table, column)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A text that holds a word; `by_helper`: a helper wrote it, or it stands on what one did."""

    key: str
    where: str
    day: date | None
    text: str
    by_helper: bool


def find(session: Session, word: str) -> Iterator[Found]:
    """Every free text that holds a word of its own like this one, in capitals or not."""
    for place in _PLACES:
        for key, text, day, kind in session.execute(_query(place, word)):
            if holds(text, word):
                yield Found(
                    key=f"{place.table.__tablename__}.{place.column}.{key}",
                    where=place.words,
                    day=day,
                    text=text,
                    by_helper=kind == "helper",
                )


def _query(place: _Place, word: str) -> Any:
    """Rows that may hold the word: key, text, day and kind of whoever did it."""
    like = func.lower(place.text).contains(word.lower(), autoescape=True)
    if place.of_entry:
        header, doer = aliased(Entry), aliased(Author)
        return (
            select(place.key, place.text, header.local_day, doer.kind)
            .join(header, header.id == place.key)
            .join(doer, doer.id == func.coalesce(header.done_by_id, header.author_id))
            .where(like)
            .order_by(place.key)
        )
    if place.table is Photo:
        query = select(place.key, place.text, null(), Author.kind)
        return query.join(Author, Author.id == Photo.author_id).where(like).order_by(place.key)
    return select(place.key, place.text, null(), null()).where(like).order_by(place.key)


def put_instead(session: Session, key: str, word: str, fresh: str) -> None:
    """Put another word in each place of one in the text called `key` by `find`."""
    table, column, number = key.split(".")
    place = next(p for p in _PLACES if (p.table.__tablename__, p.column) == (table, column))
    at = place.key == int(number)
    text = session.scalar(select(place.text).where(at))
    if text is not None:
        longest = place.text.type.length
        session.execute(
            update(place.table.__table__)  # type: ignore[arg-type]
            .where(at)
            .values({column: replaced(text, word, fresh)[:longest]})
        )
