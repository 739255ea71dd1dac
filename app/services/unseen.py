"""Nicknames that stand in a text stay there when somebody fixes it who is not shown them."""

from collections.abc import Callable, Mapping
from typing import Any

from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.nicknames import put_back
from app.services.access.people import Visitor
from app.storage.base import Base, Typed
from app.storage.queries import nicknames


def reading(session: Session, visitor: Visitor | None) -> Callable[[str], str]:
    """How this person reads what people typed; None for nobody who was shown any of it."""
    return str if visitor is None or visitor.sees_pupils else nicknames.without(session)


def kept_words(
    session: Session, visitor: Visitor, row: Base, values: Mapping[str, Any]
) -> dict[str, Any]:
    """What takes the place of a row's values, with the nicknames in them that were not shown.

    Words come back whole, with more before or after them, or they cannot be changed: what else
    was done to a name that nobody saw would be a guess.

    Args:
        session: A session that may write: there words are read as they stand.
        visitor: Who fixes it.
        row: What stands in the record.
        values: What was typed, by column.

    Raises:
        Refused: If words in which a nickname stands came back changed, or would be too long.
    """
    if visitor.sees_pupils:
        return dict(values)
    read = reading(session, visitor)
    kept = dict(values)
    for column in type(row).__table__.columns:
        if column.name in values and isinstance(column.type, Typed):
            typed, stands = values[column.name], getattr(row, column.name)
            kept[column.name] = _kept(column.name, typed, stands, read, column.type.length)
    return kept


def _kept(field: str, typed: str, stands: str, read: Callable[[str], str], longest: int) -> str:
    shown = read(stands)
    kept = put_back(typed, stands, shown)
    if kept is None:
        raise Refused(
            f"A name that you are not shown stands in “{shown}”. Leave these words whole, with "
            "more before or after them, or ask the grown-up in charge.",
            field,
        )
    if len(kept) > longest:
        raise Refused(f"Use {longest} letters at most.", field)
    return kept
