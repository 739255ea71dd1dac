"""An address for programs: who may ask, what is sent, what is answered; and how it is run.

`operation` hangs a view on the blueprint and keeps its description for the document, so that both
say the same.
"""

import hashlib
import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Any, Final

from flask import Response, request
from werkzeug.exceptions import UnsupportedMediaType

from app import __version__
from app.services.access.api_tokens import Program, Scope
from app.web.api import bp
from app.web.api.json_text import read_json
from app.web.api.manners import come_in
from app.web.api.shapes import from_text, hints_of, plain, pointed, read
from app.web.problem import Fault, Problem

KEY_HEADER: Final = "Idempotency-Key"
KEY_PATTERN: Final = '"?[A-Za-z0-9_.:-]{8,64}"?'
MOST_BYTES: Final = 256 * 1024
MOST_FAULTS: Final = 50


@dataclass(frozen=True, slots=True)
class Said:
    """What a view answers: a shape, a status, headers. An `etag` is put into quotes."""

    body: Any
    status: int = 200
    headers: Mapping[str, str] = field(default_factory=dict)
    etag: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One method of one address. `answers` are shapes by status; `scope` None: anybody may ask.

    `keyed`: the header `Idempotency-Key` is needed. `tagged`: the answer carries an ETag.
    """

    name: str
    method: str
    path: str
    summary: str
    answers: Mapping[int, Any]
    scope: Scope = Scope.READ
    query: type[Any] | None = None
    body: Any = None
    keyed: bool = False
    tagged: bool = False


OPERATIONS: Final[list[Operation]] = []
View = Callable[..., Said]
_VIEWS: Final[dict[str, View]] = {}


def operation(each: Operation) -> Callable[[View], View]:
    """Let a view answer an operation.

    It is called with `program`, the numbers of the address, and `query`, `body` and `key` where
    the operation has them.
    """
    OPERATIONS.append(each)

    def keep(view: View) -> View:
        _VIEWS[each.name] = view
        return view

    return keep


def hang_all() -> None:
    """Hang all operations on the blueprint: one rule for an address, called as its first one."""
    by_path: dict[str, list[Operation]] = {}
    for each in OPERATIONS:
        by_path.setdefault(each.path, []).append(each)
    for path, found in by_path.items():
        methods = {each.method: each for each in found}
        bp.add_url_rule(path, found[0].name, partial(_run, methods), methods=list(methods))


def _run(methods: Mapping[str, Operation], **numbers: int) -> Response:
    each = methods["GET" if request.method == "HEAD" else request.method]
    program = come_in(each.scope)
    _check_reach(program, numbers)
    sent: dict[str, Any] = {"program": program, **numbers}
    query = _read_query(each.query)
    if each.query is not None:
        sent["query"] = query
    if each.keyed:
        sent["key"] = _key()
    if each.body is not None:
        sent["body"] = _read_body(each.body)
    return _answer(_VIEWS[each.name](**sent), tagged=each.tagged)


def etag_of(*parts: object) -> str:
    """A tag for an answer that depends on these parts only, and on this version."""
    return hashlib.sha256(repr((__version__, *parts)).encode()).hexdigest()[:32]


def is_known(etag: str) -> bool:
    """Whether the program has this answer already (RFC 9110, If-None-Match)."""
    return request.if_none_match.contains_weak(etag)


def unchanged(etag: str) -> Said:
    """That nothing changed since the program asked last."""
    return Said(None, 304, etag=etag)


def _answer(said: Said, *, tagged: bool) -> Response:
    text = json.dumps(plain(said.body), ensure_ascii=False, allow_nan=False)
    etag = said.etag or (etag_of(text) if tagged else "")
    if said.status == 304 or (etag and is_known(etag)):
        answer = Response(status=304)
    else:
        answer = Response(f"{text}\n", said.status, mimetype="application/json")
    answer.headers.update(said.headers)
    if etag:
        answer.set_etag(etag)
    return answer


def _check_reach(program: Program, numbers: Mapping[str, int]) -> None:
    """Refuse a tank that is not the program's: it looks like one that is not there."""
    if "tank" in numbers and not program.reaches(numbers["tank"]):
        raise Problem(404, "There is no such tank.")


# what is sent


def _read_query(shape: type[Any] | None) -> Any:
    """The query parameters; one that nobody knows is refused, and not passed over."""
    known = {} if shape is None else hints_of(shape)
    faults: list[Fault] = []
    values: dict[str, Any] = {}
    for name, texts in request.args.lists():
        if name not in known:
            faults.append(Fault(f"?{pointed(name)}", "The query has no such name."))
        elif len(texts) > 1:
            faults.append(Fault(f"?{name}", "Send it once."))
        else:
            values[name] = from_text(known[name][1], texts[0])
    misread: list[Fault] = []
    found = None if shape is None else read(shape, values, "#", misread)
    faults += [Fault(f"?{fault.where.removeprefix('#/')}", fault.detail) for fault in misread]
    if faults:
        raise Problem(422, "Some of the query does not fit.", errors=faults)
    return found


def _key() -> str:
    """The name that the program gave to this post (a text of RFC 8941, its quotes may lack)."""
    sent = request.headers.get(KEY_HEADER, "")
    if not re.fullmatch(KEY_PATTERN, sent):
        raise Problem(
            400,
            f"Send the header {KEY_HEADER} with 8 to 64 letters, digits or any of _ . : - that "
            "no other post of yours has.",
            code="key",
        )
    return sent.strip('"')


def _read_body(shape: Any) -> Any:
    if request.mimetype != "application/json":
        raise UnsupportedMediaType
    request.max_content_length = MOST_BYTES
    try:
        value = read_json(request.get_data(cache=False))
    except ValueError as error:
        raise Problem(400, str(error), code="json") from None
    faults: list[Fault] = []
    found = read(shape, value, "#", faults)
    if faults:
        raise Problem(422, "Some of it does not fit.", errors=faults[:MOST_FAULTS])
    return found
