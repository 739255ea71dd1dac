"""One description for what is sent, what is answered and what the document says of both.

A shape is a frozen dataclass. Its annotations are read twice: into a JSON Schema (`schema_of`), and
as the check of what came in (`read`). Python's types say the kind; `Annotated` adds limits:
`Text`, `Span`, `Items`, and a plain text for the description. What stands in no shape is refused.
What types cannot say, a shape adds with `more_schema` (to the schema) and `complaint` (a sentence
about the whole, or "").
"""

import contextlib
import re
import typing
from collections.abc import Callable, Mapping, Sequence
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import StrEnum
from types import NoneType, UnionType
from typing import Annotated, Any, Final, Literal, Union, get_args, get_origin

from app.web.problem import Fault

EARLIEST: Final = datetime(2000, 1, 1, tzinfo=UTC)
# RFC 3339, section 5.6: date, time and an offset; a fraction of the second may follow
_MOMENT: Final = re.compile(
    r"\d{4}-\d{2}-\d{2}[Tt]\d{2}:\d{2}:\d{2}(\.\d{1,9})?([Zz]|[+-]\d{2}:\d{2})", re.ASCII
)
# controls beside tab and line ends, halves of surrogate pairs, noncharacters
_UNPRINTABLE: Final = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]"
)
# the same as a schema says it; halves of pairs are no text in any JSON
_PRINTABLE: Final = (
    r"^[^\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\ufdd0-\ufdef\ufffe\uffff]*$"
)
_LONGEST_TEXT: Final = 500
_WHOLE: Final = re.compile(r"-?[0-9]{1,9}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Text:
    """Limits of a text: letters, and a pattern for the whole of it ("" for any)."""

    fewest: int = 0
    most: int = _LONGEST_TEXT
    pattern: str = ""


@dataclass(frozen=True, slots=True)
class Span:
    """Limits of a number, both included."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Items:
    """Limits of a list."""

    fewest: int
    most: int


class _Unfit(Exception):
    """A value that does not fit, with a sentence about what to send instead."""


class _Wrong:
    """Stands for what could not be read."""


WRONG: Final = _Wrong()


@dataclass(frozen=True, slots=True)
class _Hint:
    """An annotation taken apart: its type and what `Annotated` adds to it."""

    kind: Any
    marks: tuple[Any, ...]

    def mark(self, wanted: type[Any]) -> Any:
        return next((mark for mark in self.marks if isinstance(mark, wanted)), None)


def hints_of(shape: type[Any]) -> dict[str, tuple[Field[Any], Any]]:
    """The fields of a shape with their annotations, by name."""
    hints = typing.get_type_hints(shape, include_extras=True)
    return {field.name: (field, hints[field.name]) for field in fields(shape)}


def is_optional(field: Field[Any]) -> bool:
    """Whether the field may be left out."""
    return field.default is not MISSING or field.default_factory is not MISSING


def _hint(annotation: Any) -> _Hint:
    if get_origin(annotation) is Annotated:
        kind, *marks = get_args(annotation)
        inner = _hint(kind)
        return _Hint(inner.kind, (*marks, *inner.marks))
    return _Hint(annotation, ())


def _choices(hint: _Hint) -> tuple[_Hint, ...]:
    """The hints of a union; of any other type, itself."""
    if get_origin(hint.kind) not in {Union, UnionType}:
        return (hint,)
    each = (_hint(kind) for kind in get_args(hint.kind))
    return tuple(_Hint(one.kind, (*one.marks, *hint.marks)) for one in each)


# into a schema


def schema_of(annotation: Any, known: dict[str, Any]) -> dict[str, Any]:
    """The JSON Schema (2020-12) of an annotation; shapes go to `known` and are referred to."""
    choices = _choices(_hint(annotation))
    made = [_schema(choice, known) for choice in choices]
    said = next((text for choice in choices if (text := choice.mark(str))), "")
    schema = made[0] if len(made) == 1 else {"anyOf": made}
    return schema | ({"description": said} if said else {})


def _schema(hint: _Hint, known: dict[str, Any]) -> dict[str, Any]:
    kind = hint.kind
    if is_dataclass(kind):
        return _reference(typing.cast("type[Any]", kind), known)
    if get_origin(kind) is Literal:
        return {"type": "string", "enum": list(get_args(kind))}
    if get_origin(kind) is tuple:
        return {"type": "array", "items": schema_of(get_args(kind)[0], known), **_bounds(hint)}
    if issubclass(kind, StrEnum):
        return {"type": "string", "enum": [each.value for each in kind]}
    return {**_PLAIN_SCHEMAS[kind], **_bounds(hint)}


_PLAIN_SCHEMAS: Final[dict[Any, dict[str, Any]]] = {
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    Decimal: {"type": "number"},
    str: {"type": "string"},
    date: {"type": "string", "format": "date"},
    datetime: {"type": "string", "format": "date-time"},
    NoneType: {"type": "null"},
}


def _bounds(hint: _Hint) -> dict[str, Any]:
    if hint.kind is str and (text := hint.mark(Text)) is not None:
        pattern = f"^{text.pattern}$" if text.pattern else _PRINTABLE
        return {"minLength": text.fewest, "maxLength": text.most, "pattern": pattern}
    if hint.kind in {int, float, Decimal} and (span := hint.mark(Span)) is not None:
        return {"minimum": span.low, "maximum": span.high}
    if get_origin(hint.kind) is tuple and (items := hint.mark(Items)) is not None:
        return {"minItems": items.fewest, "maxItems": items.most}
    return {}


def _reference(shape: type[Any], known: dict[str, Any]) -> dict[str, Any]:
    name = shape.__name__
    if name not in known:
        known[name] = {}
        found = hints_of(shape)
        more: Callable[[], Mapping[str, Any]] = getattr(shape, "more_schema", dict)
        known[name] = {
            "type": "object",
            "description": (shape.__doc__ or "").strip(),
            "properties": {each: schema_of(hint, known) for each, (_, hint) in found.items()},
            "required": [each for each, (field, _) in found.items() if not is_optional(field)],
            "additionalProperties": False,
            **more(),
        }
    return {"$ref": f"#/components/schemas/{name}"}


# from JSON


def read(annotation: Any, value: Any, where: str, faults: list[Fault]) -> Any:
    """A value of JSON as the annotation has it; `WRONG` with faults where it does not fit.

    Args:
        annotation: A shape, or any annotation that stands in one.
        value: What `read_json` gave.
        where: The pointer to the value, "#" for the whole.
        faults: Where sentences about what does not fit are added.
    """
    choices = _choices(_hint(annotation))
    left = [choice for choice in choices if choice.kind is not NoneType]
    if value is None and len(left) < len(choices):
        return None
    if len(left) > 1:
        return _read_one_of([choice.kind for choice in left], value, where, faults)
    hint, kind = left[0], left[0].kind
    if is_dataclass(kind):
        return _read_shape(typing.cast("type[Any]", kind), value, where, faults)
    if get_origin(kind) is tuple:
        return _read_list(kind, hint.mark(Items), value, where, faults)
    try:
        return _plain(kind, hint, value)
    except _Unfit as error:
        faults.append(Fault(where, str(error)))
        return WRONG


def _plain(kind: Any, hint: _Hint, value: Any) -> Any:
    """The value as this type.

    Raises:
        _Unfit: With a sentence about what to send instead.
    """
    if get_origin(kind) is Literal or issubclass(kind, StrEnum):
        return _chosen(kind, value)
    if kind is bool:
        if not isinstance(value, bool):
            raise _Unfit("Send true or false.")
        return value
    if kind in {int, float, Decimal}:
        return _number(kind, hint.mark(Span), value)
    if not isinstance(value, str):
        raise _Unfit("Send a text.")
    return _moment(value) if kind is datetime else _text(value, hint.mark(Text) or Text())


def _chosen(kind: Any, value: Any) -> Any:
    is_enum = get_origin(kind) is not Literal
    options = [each.value for each in kind] if is_enum else list(get_args(kind))
    if not isinstance(value, str) or value not in options:
        raise _Unfit(f"Send one of: {', '.join(options)}.")
    return kind(value) if is_enum else value


def _number(kind: Any, span: Span | None, value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        raise _Unfit("Send a number.")
    if span is not None and not Decimal(str(span.low)) <= value <= Decimal(str(span.high)):
        raise _Unfit(f"Send a number from {span.low:g} to {span.high:g}.")
    if kind is int and value != int(value):
        raise _Unfit("Send a whole number.")
    return kind(value)


def _text(value: str, text: Text) -> str:
    if _UNPRINTABLE.search(value):
        raise _Unfit("That holds characters that cannot be shown.")
    if not text.fewest <= len(value) <= text.most:
        raise _Unfit(f"Send {text.fewest} to {text.most} characters.")
    if text.pattern and not re.fullmatch(text.pattern, value):
        raise _Unfit("That has characters that do not belong here.")
    return value


def _moment(value: str) -> datetime:
    found = None
    if _MOMENT.fullmatch(value):
        # the calendar may have no such day, and Python no such year
        with contextlib.suppress(ValueError, OverflowError):
            found = datetime.fromisoformat(value.upper()).astimezone(UTC)
    if found is None:
        raise _Unfit(
            "Send day and time with an offset, such as 2027-02-08T08:30:00-05:00 (RFC 3339)."
        )
    if found < EARLIEST:
        raise _Unfit(f"Send a time from {EARLIEST.year} on.")
    return found


def _read_list(kind: Any, items: Items | None, value: Any, where: str, faults: list[Fault]) -> Any:
    if not isinstance(value, list):
        faults.append(Fault(where, "Send a list."))
        return WRONG
    if items is not None and not items.fewest <= len(value) <= items.most:
        faults.append(Fault(where, f"Send {items.fewest} to {items.most} of them."))
        return WRONG
    each = get_args(kind)[0]
    return tuple(read(each, one, f"{where}/{at}", faults) for at, one in enumerate(value))


def _read_shape(shape: type[Any], value: Any, where: str, faults: list[Fault]) -> Any:
    if not isinstance(value, dict):
        faults.append(Fault(where, "Send an object."))
        return WRONG
    known, before = hints_of(shape), len(faults)
    faults += [
        Fault(f"{where}/{pointed(name)}", "Nothing of this name belongs here.")
        for name in value
        if name not in known
    ]
    found = {}
    for name, (field, hint) in known.items():
        if name in value:
            found[name] = read(hint, value[name], f"{where}/{name}", faults)
        elif not is_optional(field):
            faults.append(Fault(f"{where}/{name}", "This is needed."))
    if len(faults) > before:
        return WRONG
    made = shape(**found)
    complaint: Callable[[], str] = getattr(made, "complaint", str)
    if sentence := complaint():
        faults.append(Fault(where, sentence))
    return made


def pointed(name: str) -> str:
    """A name as a JSON pointer has it, and as a text can show it."""
    printable = _UNPRINTABLE.sub("", name)[:_LONGEST_TEXT]
    return printable.replace("~", "~0").replace("/", "~1")


def _read_one_of(kinds: Sequence[Any], value: Any, where: str, faults: list[Fault]) -> Any:
    """The one shape whose fixed texts are those that were sent."""
    if not isinstance(value, dict):
        faults.append(Fault(where, "Send an object."))
        return WRONG
    left = list(kinds)
    for name in dict.fromkeys(name for kind in kinds for name in _fixed(kind)):
        options = [text for kind in left for text in _fixed(kind).get(name, ())]
        if not options:
            continue
        left = [kind for kind in left if value.get(name) in _fixed(kind).get(name, ())]
        if not left:
            said = f"Send one of: {', '.join(dict.fromkeys(options))}."
            faults.append(Fault(f"{where}/{name}", said))
            return WRONG
    return _read_shape(left[0], value, where, faults)


def _fixed(shape: type[Any]) -> dict[str, tuple[Any, ...]]:
    """The texts of which a shape takes one only, by the name of their field."""
    found = {name: _hint(hint).kind for name, (_, hint) in hints_of(shape).items()}
    return {n: get_args(kind) for n, kind in found.items() if get_origin(kind) is Literal}


def from_text(annotation: Any, text: str) -> Any:
    """A parameter of an address as JSON would have it; `read` judges what comes of it."""
    kinds = [choice.kind for choice in _choices(_hint(annotation))]
    if int in kinds and _WHOLE.fullmatch(text):
        return int(text)
    if bool in kinds and text in {"true", "false"}:
        return text == "true"
    if datetime in kinds:
        # a plus that was not written as %2B arrives as a space
        return text.replace(" ", "+")
    return text


# into JSON


def plain(value: Any) -> Any:
    """A shape as what JSON can say: moments with their offset, enums as their values."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple | list):
        return [plain(each) for each in value]
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, date):
        return value.isoformat()
    return float(value) if isinstance(value, Decimal) else value
