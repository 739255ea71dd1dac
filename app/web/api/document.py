"""The OpenAPI document, made from the operations themselves: OpenAPI Specification 3.1."""

import functools
import json
import re
from collections.abc import Mapping
from http import HTTPStatus
from typing import Any, Final

from flask import Response

from app import __version__
from app.services.access import api_tokens
from app.services.access.api_tokens import Scope
from app.web.api import bp, said
from app.web.api.operation import KEY_HEADER, KEY_PATTERN, OPERATIONS, Operation
from app.web.api.shapes import hints_of, is_optional, schema_of
from app.web.problem import MEDIA_TYPE
from app.web.request import LARGEST_ID

_NUMBER: Final = re.compile(r"<int:(\w+)>")
_TEXT: Final = """\
The record of freshwater tanks, for do-it-yourself thermometers and notebooks.

Every request carries `Authorization: Bearer` and a token that a keeper made in Settings, under
Programs. A token reaches one tank or all of its maker's; it may read, also write readings, or also
write entries, and ends at once when a keeper ends it. Nobody is named in any answer.

Moments have an offset (RFC 3339). Answers give values in the kept unit of each quantity, named
beside it with its basis. What was never measured is absent, and never 0.

Values are judged as typed ones are. What no tank can show is refused (422, `impossible`). What is
far from what is usual here is asked about (409, `unusual`): measure once more, then send it with
`"confirmed": true`.

Readings of a device are known by moment and quantity: sent again, they are the same readings. An
entry is known by its `Idempotency-Key`: the same key with the same content is answered as before,
with other content it is refused (422, `key-reused`).

What is far from right is told as problem details (RFC 9457)."""


@bp.get("/openapi.json")
def openapi() -> Response:
    """The document; anybody may read what the addresses are."""
    return Response(_text(), mimetype="application/json")


@functools.cache
def _text() -> str:
    return f"{json.dumps(document(), ensure_ascii=False, indent=1)}\n"


def document() -> dict[str, Any]:
    """The document as what JSON can say."""
    known: dict[str, Any] = {}
    schema_of(said.Problem, known)
    paths: dict[str, dict[str, Any]] = {}
    for each in OPERATIONS:
        path = _NUMBER.sub(r"{\1}", each.path)
        paths.setdefault(path, {})[each.method.lower()] = _described(each, known)
    return {
        "openapi": "3.1.0",
        "info": {"title": "Sillpond", "version": __version__, "description": _TEXT},
        "servers": [{"url": bp.url_prefix}],
        "paths": paths,
        "components": {
            "schemas": known,
            "securitySchemes": {"token": {"type": "http", "scheme": "bearer"}},
        },
    }


def _described(each: Operation, known: dict[str, Any]) -> dict[str, Any]:
    made: dict[str, Any] = {
        "operationId": each.name,
        "summary": each.summary,
        "description": _DOES[each.scope],
        "security": [{"token": []}],
        "parameters": [*_of_path(each), *_of_query(each, known), *_of_headers(each)],
        "responses": _answers(each, known),
    }
    if each.body is not None:
        content = {"application/json": {"schema": schema_of(each.body, known)}}
        made["requestBody"] = {"required": True, "content": content}
    return made


_DOES: Final = {
    Scope.READ: "For every token.",
    Scope.READINGS: "For tokens that may write readings.",
    Scope.ENTRIES: "For tokens that may write entries.",
}


def _of_path(each: Operation) -> list[dict[str, Any]]:
    number = {"type": "integer", "minimum": 0, "maximum": LARGEST_ID}
    return [
        {"name": name, "in": "path", "required": True, "schema": number}
        for name in _NUMBER.findall(each.path)
    ]


def _of_query(each: Operation, known: dict[str, Any]) -> list[dict[str, Any]]:
    found = []
    for name, (field, hint) in ({} if each.query is None else hints_of(each.query)).items():
        schema = _without_null(schema_of(hint, known))
        found.append(
            {"name": name, "in": "query", "required": not is_optional(field), "schema": schema}
        )
    return found


def _without_null(schema: dict[str, Any]) -> dict[str, Any]:
    """Of a parameter: left out is another thing than null, which no address can say."""
    kinds = [kind for kind in schema.get("anyOf", ()) if kind != {"type": "null"}]
    said = {"description": schema["description"]} if "description" in schema else {}
    return {**kinds[0], **said} if len(kinds) == 1 else schema


def _of_headers(each: Operation) -> list[dict[str, Any]]:
    if each.keyed:
        schema = {"type": "string", "pattern": f"^{KEY_PATTERN}$"}
        text = "A name of this post that no other of yours has."
        return [
            {
                "name": KEY_HEADER,
                "in": "header",
                "required": True,
                "schema": schema,
                "description": text,
            }
        ]
    if each.tagged:
        text = "The ETag of an answer that you have; unchanged, it is answered with 304."
        schema = {"type": "string"}
        return [{"name": "If-None-Match", "in": "header", "schema": schema, "description": text}]
    return []


def _answers(each: Operation, known: dict[str, Any]) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for status, shape in each.answers.items():
        made[str(status)] = {
            "description": HTTPStatus(status).phrase,
            "content": {"application/json": {"schema": schema_of(shape, known)}},
            "headers": _headers(each, status),
        }
    if each.tagged:
        made["304"] = {"description": "You have it already.", "headers": _headers(each, 304)}
    for status in _problems(each):
        made[str(status)] = _problem(status)
    return made


def _headers(each: Operation, status: int) -> Mapping[str, Any]:
    text = {"schema": {"type": "string"}}
    if each.keyed and status == 201:
        return {"Location": text}
    return {"ETag": text} if each.tagged else {}


def _problems(each: Operation) -> list[int]:
    """The statuses with which an operation may refuse."""
    found = {401, 422, 429}
    if each.scope is not Scope.READ:
        found |= {403, 503}
    if "<" in each.path:
        found.add(404)
    if each.body is not None:
        found |= {400, 409, 413, 415}
    return sorted(found)


def _problem(status: int) -> dict[str, Any]:
    text = {"schema": {"type": "string"}}
    headers = {
        401: {"WWW-Authenticate": text},
        429: {"Retry-After": {"schema": {"type": "integer"}}},
    }
    if status == 429:
        limit = api_tokens.LIMIT
        said_of = f"More than {limit.most} requests in {limit.seconds} seconds."
    else:
        said_of = HTTPStatus(status).phrase
    return {
        "description": said_of,
        "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
        "headers": headers.get(status, {}),
    }
