"""Reading JSON strictly: what RFC 8259 leaves open between programs is refused here."""

import json
from collections.abc import Sequence
from decimal import Decimal
from typing import Any, Final

LONGEST_NUMBER: Final = 40
_DEEPEST: Final = 16


def read_json(body: bytes) -> Any:
    """The value that a text of JSON says; numbers with a point or exponent become `Decimal`.

    RFC 8259, sections 4 to 8: names within an object should be unique, numbers beyond what
    others can hold and text that is no Unicode are not to be relied on, and NaN is none.

    Raises:
        ValueError: With a sentence about what cannot be read.
    """
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError:
        raise ValueError("JSON is written in UTF-8.") from None
    if _depth(text) > _DEEPEST:
        raise ValueError(f"That is nested more than {_DEEPEST} deep.")
    try:
        return json.loads(
            text,
            object_pairs_hook=_object,
            parse_constant=_no_number,
            parse_float=_decimal,
            parse_int=_whole,
        )
    except json.JSONDecodeError as error:
        raise ValueError(f"That is no JSON: line {error.lineno}, column {error.colno}.") from None


def _depth(text: str) -> int:
    """How deep brackets are nested at most; those within texts do not count."""
    deepest = depth = 0
    in_text = escaped = False
    for letter in text:
        if in_text:
            in_text = escaped or letter != '"'
            escaped = letter == "\\" and not escaped
        elif letter == '"':
            in_text = True
        elif letter in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif letter in "]}":
            depth -= 1
    return deepest


def _object(pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("A name stands twice in one object.")
    return found


def _no_number(_name: str) -> None:
    raise ValueError("NaN and Infinity are no numbers in JSON.")


def _decimal(text: str) -> Decimal:
    if len(text) > LONGEST_NUMBER:
        raise ValueError(f"A number has more than {LONGEST_NUMBER} characters.")
    return Decimal(text)


def _whole(text: str) -> int:
    if len(text) > LONGEST_NUMBER:
        raise ValueError(f"A number has more than {LONGEST_NUMBER} characters.")
    return int(text)
