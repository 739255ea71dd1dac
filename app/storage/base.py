"""The declarative base: constraint names, one fixed-width UTC time, folded names."""

import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, datetime
from typing import Any, ClassVar

from sqlalchemy import Dialect, MetaData, String
from sqlalchemy.orm import DeclarativeBase
from sqlalchemy.types import TypeDecorator

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class UtcTime(TypeDecorator[datetime]):
    """An aware moment, stored as UTC text of one width, so that text order is time order."""

    impl = String(27)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """To text; naive values are refused.

        Raises:
            ValueError: If the value carries no zone.
        """
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a stored time needs its zone")
        moment = value if value.tzinfo is UTC else value.astimezone(UTC)
        return f"{moment.isoformat(timespec='microseconds')[:26]}Z"

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:
        """From text, aware, in UTC."""
        return None if value is None else datetime.fromisoformat(value)


_reading_words: ContextVar[Callable[[str], str] | None] = ContextVar("reading_words", default=None)


class Typed(TypeDecorator[str]):
    """Words that people typed about anything; a nickname may stand in them."""

    impl = String
    cache_ok = True

    def process_result_value(self, value: str | None, dialect: Dialect) -> str | None:
        """As it stands in the record, or as `words_read` says."""
        change = _reading_words.get()
        return change(value) if value and change is not None else value


TEXTS = (String, Typed)
"""The types of columns with text."""


@contextmanager
def words_read(change: Callable[[str], str]) -> Iterator[None]:
    """Meanwhile every typed word that is read in this thread goes through `change`."""
    before = _reading_words.set(change)
    try:
        yield
    finally:
        _reading_words.reset(before)


class Base(DeclarativeBase):
    """Base of all tables."""

    metadata = MetaData(naming_convention=NAMING)
    type_annotation_map: ClassVar[dict[Any, Any]] = {datetime: UtcTime()}


def folded(text: str) -> str:
    """A name as it is compared and searched: case, marks and spacing taken away."""
    plain = unicodedata.normalize("NFKD", text)
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).casefold().split())
