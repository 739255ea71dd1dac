"""What goes wrong under /api is told as problem details (RFC 9457), never as a page."""

import sqlite3
from unittest.mock import ANY

import pytest
from psycopg.errors import DiskFull, ReadOnlySqlTransaction
from sqlalchemy.exc import OperationalError

from app.domain.errors import CannotSave
from app.services.access import api_tokens
from app.services.api import device
from tests.page_checker import CheckedClient
from tests.web.api.conftest import Caller, code, warm


@pytest.mark.parametrize("path", ["/api/v1/", "/api/v1/nothing", "/api/v2/tanks", "/api/"])
def test_an_address_that_is_none(stranger: CheckedClient, path: str) -> None:
    answer = stranger.get(path)
    assert code(answer) == (404, "")
    # the members of RFC 9457, section 3.1; "about:blank" as its section 4.2.1 has it
    assert answer.json is not None
    assert answer.json["type"] == "about:blank"
    assert answer.json["title"] == "Not Found"


@pytest.mark.parametrize("number", ["9" * 19, "9" * 30, "-1", "1.0", "x", "\u0661"])
def test_a_number_that_no_tank_has(caller: Caller, number: str) -> None:
    assert code(caller.get(f"/tanks/{number}")) == (404, "")


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "POST"])
def test_a_method_that_an_address_does_not_take(stranger: CheckedClient, method: str) -> None:
    answer = stranger.open("/api/v1/tanks", method=method)
    assert code(answer) == (405, "")
    assert set(answer.headers["Allow"].split(", ")) == {"GET", "HEAD", "OPTIONS"}


def test_the_head_of_an_answer_comes_without_its_body(caller: Caller) -> None:
    whole, head = caller.get("/tanks"), caller.ask("HEAD", "/tanks")
    assert (head.status_code, head.data) == (200, b"")
    assert head.headers["ETag"] == whole.headers["ETag"]


def test_called_by_a_foreign_name_nothing_is_told(caller: Caller) -> None:
    answer = caller.get("/tanks", Host="elsewhere.example")
    assert code(answer) == (400, "")
    assert "Brook" not in answer.text


def _full_file() -> sqlite3.Error:
    error = sqlite3.OperationalError("database or disk is full")
    error.sqlite_errorcode = sqlite3.SQLITE_FULL
    return error


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (_full_file(), "is full. Make room on it, then save again."),
        (DiskFull("could not extend file"), "is full. Make room on it, then save again."),
        (ReadOnlySqlTransaction("cannot execute INSERT"), "takes no changes now"),
    ],
)
def test_what_cannot_be_saved_is_told(
    caller: Caller,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
    error: Exception,
    said: str,
) -> None:
    def full(*_args: object, **_more: object) -> None:
        raise OperationalError("INSERT", None, error)

    monkeypatch.setattr(device, "take", full)
    answer = caller.measure(warm(24))
    assert code(answer) == (503, "")
    assert answer.json is not None
    assert said in answer.json["detail"]
    assert "Nothing was saved" in answer.json["detail"]
    # whoever runs the computer finds the cause
    assert str(error) in caplog.text
    monkeypatch.undo()
    assert caller.measure(warm(24)).json == {
        "added": 1, "known": 0, "different": [], "entry_ids": [ANY],
    }  # fmt: skip


def test_what_cannot_be_counted_is_answered(
    caller: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a file that can only be read, programs read."""

    def full(*_args: object, **_more: object) -> int:
        raise CannotSave("The disk is full.")

    monkeypatch.setattr(api_tokens, "come_in", full)
    assert caller.get("/tanks").status_code == 200


def test_what_nobody_foresaw_has_a_number_and_no_more(
    caller: Caller, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_args: object, **_more: object) -> None:
        raise RuntimeError("the secret of the house")

    monkeypatch.setattr(device, "take", broken)
    answer = caller.measure(warm(24))
    assert code(answer) == (500, "")
    assert answer.json is not None
    assert answer.json["number"] in caplog.text
    assert "secret" not in answer.text


def test_no_token_stands_in_the_log(
    caller: Caller, caplog: pytest.LogCaptureFixture, stranger: CheckedClient
) -> None:
    with caplog.at_level("DEBUG"):
        caller.get("/tanks")
        caller.get(f"/tanks?x={caller.token}")
        stranger.get("/api/v1/tanks", headers={"Authorization": "Bearer sillpond-wrong-one"})
    told = caplog.text + "".join(str(vars(record)) for record in caplog.records)
    assert "/api/v1/tanks" in told
    assert caller.token not in told
    assert "sillpond-wrong-one" not in told


def test_pages_keep_their_pages(stranger: CheckedClient) -> None:
    assert stranger.get("/apiary").mimetype == "text/html"
