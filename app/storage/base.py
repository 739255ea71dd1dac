"""The declarative base: constraint names, one fixed-width UTC time, folded names."""

import unicodedata
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


class Base(DeclarativeBase):
    """Base of all tables."""

    metadata = MetaData(naming_convention=NAMING)
    type_annotation_map: ClassVar[dict[Any, Any]] = {datetime: UtcTime()}


def folded(text: str) -> str:
    """A name as it is compared and searched: case, marks and spacing taken away."""
    plain = unicodedata.normalize("NFKD", text)
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).casefold().split())
