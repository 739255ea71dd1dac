"""What all addresses for programs have in common: the token, how often one may ask, refusals."""

import re
from typing import Final

from flask import Response, current_app, g, request
from sqlalchemy.exc import DBAPIError

from app.domain.errors import (
    CannotRead,
    CannotSave,
    Conflict,
    NotFound,
    SillpondError,
    TokenReused,
)
from app.services.access import api_tokens
from app.services.access.api_tokens import Program, Scope
from app.services.api.measured import NotTaken
from app.services.api.writing import Question
from app.web.api import bp
from app.web.problem import Fault, Problem
from app.web.request import database, now
from app.web.request_log import number

# RFC 6750, section 2.1
_BEARER: Final = re.compile(r"Bearer +([A-Za-z0-9._~+/-]+=*)", re.ASCII | re.IGNORECASE)
_MAY: Final = {
    Scope.READ: "read",
    Scope.READINGS: "write readings",
    Scope.ENTRIES: "write entries",
}


@bp.before_request
def _begin() -> Response | None:
    """Whatever cookie came with it: only the token says who asks. What is possible, anybody may.

    No other site is told that it may ask (no header of CORS): a browser keeps pages of other
    sites away.
    """
    g.visitor = None
    if request.method != "OPTIONS":
        return None
    answer = current_app.make_default_options_response()
    answer.status_code = 204
    del answer.headers["Content-Type"]
    return answer


def come_in(scope: Scope) -> Program:
    """Who asks, if they may do this and did not ask too often.

    Raises:
        Problem: 401 without a token that works, 429 for too often, 403 for more than it may.
    """
    program = _program()
    wait = _wait(program)
    if wait:
        raise Problem(
            429,
            f"A program may ask {api_tokens.LIMIT.most} times in {api_tokens.LIMIT.seconds} "
            "seconds. Wait, then go on.",
            headers={"Retry-After": str(wait)},
        )
    if not program.scope.covers(scope):
        raise Problem(
            403,
            f"This token may not {_MAY[scope]}.",
            code="scope",
            headers={"WWW-Authenticate": _challenge("insufficient_scope")},
        )
    return program


def _program() -> Program:
    sent = request.headers.get("Authorization", "")
    if not sent:
        raise Problem(
            401,
            "Send the header Authorization: Bearer with a token. A keeper makes one in Settings, "
            "under Programs.",
            headers={"WWW-Authenticate": _challenge()},
        )
    bearer = _BEARER.fullmatch(sent)
    found = None
    if bearer is not None:
        with database().reading() as session:
            found = api_tokens.program_of(session, bearer[1])
    if found is None:
        raise Problem(
            401,
            "This token does not work, or not any more.",
            code="token",
            headers={"WWW-Authenticate": _challenge("invalid_token")},
        )
    return found


def _challenge(error: str = "") -> str:
    return f'Bearer realm="sillpond", error="{error}"' if error else 'Bearer realm="sillpond"'


def _wait(program: Program) -> int:
    """Seconds to wait; where nothing can be counted, because nothing can be saved, none."""
    try:
        with database().writing() as session:
            return api_tokens.come_in(session, program, now=now())
    except (DBAPIError, CannotSave):
        return 0


@bp.errorhandler(Problem)
def _on_problem(problem: Problem) -> Response:
    return problem.answer()


def _on_refusal(error: SillpondError) -> Response:
    return _problem_of(error).answer()


def _problem_of(error: SillpondError) -> Problem:
    sentence = str(error)
    match error:
        case NotFound():
            return Problem(404, sentence)
        case NotTaken():
            places = [Fault(f"#/readings/{at}/value", said) for at, said in error.faults]
            status, code = (409, "unusual") if error.unusual else (422, "impossible")
            return Problem(status, sentence, code=code, errors=places[:50])
        case Question():
            return Problem(409, sentence, code=error.code)
        case TokenReused():
            return Problem(
                422,
                f"This key stands for entry {error.entry_id}, which says something else. "
                "Take a new key for each entry.",
                code="key-reused",
            )
        case Conflict():
            return Problem(409, sentence)
        case CannotSave() | CannotRead():
            # the log is for whoever runs the computer: they have to make room
            current_app.logger.error("not done %s: %s", number(), error.__cause__)
            return Problem(503, sentence)
        case _:
            # it fits the shape, and not the record
            return Problem(409, sentence, code="refused")


bp.register_error_handler(SillpondError, _on_refusal)
