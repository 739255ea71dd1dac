"""Programs with a token, and what they get."""

from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import count
from typing import Any

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from app.clock import FixedClock
from app.services.access import api_tokens
from app.services.access.api_tokens import Scope
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.conftest import new_client

ROOT = "/api/v1"
_keys = count(1)


@dataclass
class Caller:
    """A program that asks with its token."""

    client: CheckedClient
    token: str
    number: int
    headers: dict[str, str] = field(default_factory=dict)

    def ask(self, method: str, path: str, **more: Any) -> TestResponse:
        """Ask; `headers` come beside the token."""
        headers = {"Authorization": f"Bearer {self.token}"} | more.pop("headers", {})
        return self.client.open(f"{ROOT}{path}", method=method, headers=headers, **more)

    def get(self, path: str, **headers: str) -> TestResponse:
        """Ask for something."""
        return self.ask("GET", path, headers=headers)

    def shown(self, path: str) -> Any:
        """What an address says that has to answer with 200."""
        answer = self.get(path)
        assert answer.status_code == 200, answer.text
        return answer.json

    def measure(self, *readings: dict[str, Any], tank: int = 1) -> TestResponse:
        """Send what a device measured."""
        return self.ask("POST", f"/tanks/{tank}/readings", json={"readings": list(readings)})

    def write(self, key: str = "", tank: int = 1, **entry: Any) -> TestResponse:
        """Send an entry, under a new key unless one is given."""
        headers = {"Idempotency-Key": key or f"key-{next(_keys):05}"}
        return self.ask("POST", f"/tanks/{tank}/entries", json=entry, headers=headers)


MakeCaller = Callable[..., Caller]


@pytest.fixture
def caller_of(app: Flask, record: Record, clock: FixedClock) -> MakeCaller:
    """Makes programs: with a scope, for one tank or all."""

    def make(scope: Scope = Scope.ENTRIES, tank_id: int | None = None, **more: Any) -> Caller:
        token = api_tokens.new_token()
        with record.database.writing() as session:
            number = api_tokens.make(
                session, more.get("by", record.adult), label=more.get("label", "Hall thermometer"),
                scope=scope, tank_id=tank_id, token=token, now=clock.now(),
            )  # fmt: skip
        return Caller(new_client(app), token, number)

    return make


@pytest.fixture
def caller(caller_of: MakeCaller) -> Caller:
    """A program that may do everything on all tanks."""
    return caller_of()


def warm(value: float, at: str = "", **more: Any) -> dict[str, Any]:
    """A temperature in °C as a device sends it."""
    moment = {"at": at} if at else {}
    return {"quantity": "temperature", "value": value, "unit": "°C"} | moment | more


def places(answer: TestResponse) -> list[str]:
    """The places that a problem names."""
    assert answer.mimetype == "application/problem+json", answer.text
    assert answer.json is not None
    return [fault["where"] for fault in answer.json.get("errors", [])]


def code(answer: TestResponse) -> tuple[int, str]:
    """Status and word of a problem."""
    assert answer.mimetype == "application/problem+json", answer.text
    assert answer.json is not None
    assert answer.json["status"] == answer.status_code
    return answer.status_code, answer.json.get("code", "")
