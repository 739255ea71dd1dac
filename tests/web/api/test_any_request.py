"""Requests made from the OpenAPI document itself, fitting and not: every answer is as it says.

schemathesis is a general-purpose tester of APIs. All of its checks run: no server errors; statuses,
media types, headers and bodies as documented; what fits is accepted, what does not is refused;
nothing without a token; the right Allow header for other methods.
"""

import os
import re
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import Any
from wsgiref.types import StartResponse, WSGIEnvironment

import pytest
import schemathesis
from flask import Flask
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from schemathesis import Case, HookContext
from schemathesis.config import SchemathesisConfig

from app.clock import FixedClock
from app.services.access import api_tokens
from app.services.access.api_tokens import Scope
from app.web.api.document import document
from app.web.api.operation import KEY_HEADER, KEY_PATTERN
from app.web.request import LARGEST_ID
from tests.record import MONDAY, new_record
from tests.web.conftest import new_app

HEAVY = os.environ.get("SILLPOND_HEAVY") == "1"
EXAMPLES = 300 if HEAVY else 12
_TOKEN = "sillpond-only-a-test-and-never-a-secret"
_keys = count(1)

# no schema can say that a time has not come yet, or that it lies before a tank's years
schemathesis.openapi.format(
    "date-time",
    st.datetimes(datetime(2020, 1, 1), datetime(2027, 2, 8), timezones=st.just(UTC)).map(
        datetime.isoformat
    ),
)


@schemathesis.hook
def map_path_parameters(
    _context: HookContext, path_parameters: dict[str, Any] | None
) -> dict[str, Any] | None:
    """Ask for what is there as often as for what is not."""
    found = dict(path_parameters or {})
    for name, number in found.items():
        if isinstance(number, int) and 0 < number <= LARGEST_ID and number % 2:
            found[name] = 1
    return found


@schemathesis.hook
def map_headers(_context: HookContext, headers: dict[str, Any] | None) -> dict[str, Any] | None:
    """Give each entry a key of its own: no schema can say that a key was not used before."""
    found = dict(headers or {})
    key = found.get(KEY_HEADER)
    if isinstance(key, str) and re.fullmatch(KEY_PATTERN, key):
        found[KEY_HEADER] = f"entry-{next(_keys):06}"
    return found


class SteppingClock(FixedClock):
    """A clock that goes on a second with every look, so that nobody asks too often."""

    def now(self) -> datetime:
        """The next second."""
        self.moment = self.moment.replace(microsecond=0)
        self.moment = datetime.fromtimestamp(self.moment.timestamp() + 1, UTC)
        return self.moment


class Front:
    """The WSGI application that stands in front of the record of the running test."""

    behind: Flask

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        """Hand a request on."""
        return self.behind(environ, start_response)


# the bounds of every member of every kind of body are thousands of requests
_BODIES = {"include-method": "POST", "phases": {"coverage": {"enabled": False}}}
_CONFIG = {
    "seed": 20270208,
    "auth": {"openapi": {"token": {"bearer": _TOKEN}}},
    "operations": [] if HEAVY else [_BODIES],
}

front = Front()
schema = schemathesis.openapi.from_dict(document(), config=SchemathesisConfig.from_dict(_CONFIG))
schema.app = front


@pytest.fixture(autouse=True)
def record_behind(tmp_path: Path) -> Iterator[None]:
    """A record of its own for each address, with a token that may do everything."""
    record = new_record(tmp_path)
    with record.database.writing() as session:
        api_tokens.make(
            session, record.adult, label="Tester", scope=Scope.ENTRIES, tank_id=None,
            token=_TOKEN, now=MONDAY,
        )  # fmt: skip
    front.behind = new_app(tmp_path, SteppingClock(MONDAY), record.database)
    yield
    record.database.close()


@schema.parametrize()
@settings(
    max_examples=EXAMPLES,
    derandomize=True,
    deadline=None,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_every_answer_is_as_the_document_says(case: Case[Any]) -> None:
    case.call_and_validate()
