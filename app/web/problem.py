"""What went wrong, for programs: problem details as RFC 9457 has them.

`type` is "about:blank" and `title` the phrase of the status, as the RFC wants it where the status
says enough; `code` is one word for what a program may want to tell apart, and `errors` names the
places in what was sent.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from http import HTTPStatus
from typing import Any, Final

from flask import Response, request
from werkzeug.exceptions import HTTPException

PREFIX: Final = "/api/"
MEDIA_TYPE: Final = "application/problem+json"
_DETAILS: Final[dict[int, str]] = {
    400: "That could not be read.",
    403: "What another site sends is not taken.",
    404: "There is nothing at this address.",
    405: "This address does not take that method.",
    413: "That is too much at once.",
    415: "Send JSON, with Content-Type: application/json.",
    500: "Something went wrong in this program. The log holds the reason under this number.",
}


@dataclass(frozen=True, slots=True)
class Fault:
    """One place in what was sent: a JSON pointer (RFC 6901) with "#", or "?" and a name."""

    where: str
    detail: str


class Problem(Exception):
    """An answer that says what went wrong."""

    def __init__(
        self,
        status: int,
        detail: str,
        *,
        code: str = "",
        errors: Sequence[Fault] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(detail)
        self.status = status
        self.detail = detail
        self.code = code
        self.errors = tuple(errors)
        self.headers = dict(headers or {})

    def answer(self, **more: Any) -> Response:
        """The answer; `more` are further members."""
        said: dict[str, Any] = {
            "type": "about:blank",
            "title": HTTPStatus(self.status).phrase,
            "status": self.status,
            "detail": self.detail,
        }
        if self.code:
            said["code"] = self.code
        if self.errors:
            said["errors"] = [asdict(fault) for fault in self.errors]
        text = json.dumps(said | more, ensure_ascii=False)
        answer = Response(text, self.status, mimetype=MEDIA_TYPE)
        answer.headers.update(self.headers)
        return answer


def is_wanted() -> bool:
    """Whether this request is of a program, which reads no pages."""
    return request.path.startswith(PREFIX)


def of_status(error: HTTPException, detail: str = "", **more: Any) -> Response:
    """The problem that a status stands for, with the headers that belong to it."""
    status = error.code or 500
    answer = Problem(status, detail or _DETAILS.get(status, _DETAILS[400])).answer(**more)
    kept = {"Allow", "Retry-After", "WWW-Authenticate"}
    for name, value in error.get_headers(request.environ):
        if name in kept:
            answer.headers[name] = value
    return answer


def of_crash(number: str) -> Response:
    """The problem that nobody foresaw, with the number under which the log holds it."""
    return Problem(500, _DETAILS[500]).answer(number=number)
