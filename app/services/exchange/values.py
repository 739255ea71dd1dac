"""The cells of a data package: a value as text, and back as exactly the same value."""

import math
import re
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any, Final

from sqlalchemy import Boolean, Column, Date, Float, Integer, String

from app.services.csv_text import safe_text, text_in
from app.storage.base import TEXTS, Typed, UtcTime

TIME_FORMAT: Final = "%Y-%m-%dT%H:%M:%S.%fZ"
_INTEGER: Final = re.compile(r"-?[0-9]{1,18}")
_NUMBER: Final = re.compile(r"-?[0-9]{1,320}(\.[0-9]{1,40})?(e[+-]?[0-9]{1,3})?")
_TIME: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{6}Z")
_DAY: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def cell(value: object) -> str:
    """A value as it stands in a package: "" for None, texts safe for a spreadsheet."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    return safe_text(str(value))


def value_of(column: Column[Any], text: str) -> Any:
    """The value that `cell` made a text of.

    Raises:
        ValueError: If no value of the column looks like that.
    """
    if isinstance(column.type, TEXTS):
        return _text(column, text)
    if not text:
        if not column.nullable:
            raise ValueError("is empty")
        return None
    return _READERS[kind_of(column)](text)


def _text(column: Column[Any], text: str) -> str | None:
    if not text and column.nullable:
        return None
    value = text_in(text)
    if isinstance(column.type, TEXTS) and column.type.length and len(value) > column.type.length:
        raise ValueError(f"is longer than {column.type.length} letters")
    return value


def _integer(text: str) -> int:
    if not _INTEGER.fullmatch(text):
        raise ValueError("is no whole number")
    return int(text)


def _number(text: str) -> float:
    value = float(text) if _NUMBER.fullmatch(text) else math.nan
    if not math.isfinite(value):
        raise ValueError("is no number")
    return value


def _boolean(text: str) -> bool:
    if text not in {"true", "false"}:
        raise ValueError("is neither true nor false")
    return text == "true"


def _day(text: str) -> date:
    if not _DAY.fullmatch(text):
        raise ValueError("is no day")
    return date.fromisoformat(text)


def _moment(text: str) -> datetime:
    if not _TIME.fullmatch(text):
        raise ValueError("is no moment")
    return datetime.fromisoformat(text)


_KINDS: Final = (
    (UtcTime, "datetime"),
    (Boolean, "boolean"),
    (Date, "date"),
    (Integer, "integer"),
    (Float, "number"),
    (String, "string"),
    (Typed, "string"),
)
_READERS: Final[dict[str, Callable[[str], Any]]] = {
    "datetime": _moment,
    "boolean": _boolean,
    "date": _day,
    "integer": _integer,
    "number": _number,
}


def kind_of(column: Column[Any]) -> str:
    """The type of a column by its name in the table schema of the Data Package.

    Raises:
        TypeError: If no package can hold such a column.
    """
    for known, name in _KINDS:
        if isinstance(column.type, known):
            return name
    raise TypeError(f"{column} cannot be written into a package")
