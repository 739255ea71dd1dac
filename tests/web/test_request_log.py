"""The log of a server names routes and statuses, and nobody."""

import json
import logging
import re
import sys

import pytest

from app.cli.logs import JsonLines
from app.web.request_log import LOGGER
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import save


def as_json(record: logging.LogRecord) -> dict[str, object]:
    written = JsonLines().format(record)
    assert "\n" not in written
    found = json.loads(written)
    assert isinstance(found, dict)
    return found


def test_a_request_is_one_line_with_its_route_and_nothing_else(
    helper: CheckedClient, record: Record, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.INFO, logger=LOGGER.name)
    save(helper, "/tank/1/look", seen="16", note="Wren saw it, 127.0.0.1", hands=str(record.otter))
    found = [as_json(line) for line in caplog.records if line.name == LOGGER.name]
    assert [(f["method"], f["route"], f["status"]) for f in found] == [
        ("GET", "/tank/<int:tank_id>/look", 200),
        ("POST", "/tank/<int:tank_id>/look", 303),
    ]
    for each in found:
        assert set(each) == {
            "time", "level", "logger", "what", "number", "method", "route", "status", "ms",
        }  # fmt: skip
        assert re.fullmatch("[0-9a-f]{8}", str(each["number"]))
        assert "Wren" not in json.dumps(each)


def test_no_key_of_an_address_is_written(
    stranger: CheckedClient, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    for address in ("/sign-in/very-secret-key", "/v/very-secret-key", "/nowhere/very-secret-key"):
        stranger.get(address)
    written = [JsonLines().format(line) for line in caplog.records]
    assert len(written) >= 3
    assert "very-secret-key" not in "".join(written)


def test_a_traceback_stays_on_one_line() -> None:
    try:
        int("first\nsecond")
    except ValueError:
        record = logging.LogRecord("x", logging.ERROR, "", 0, "broke", None, sys.exc_info())
    assert "second" in str(as_json(record)["traceback"])


@pytest.mark.parametrize(
    ("damage", "word"),
    [
        ("UPDATE alembic_version SET version_num = '9999'", "schema"),
        ("DROP TABLE alembic_version", "read"),
    ],
)
def test_whoever_watches_reads_one_word(
    stranger: CheckedClient, record: Record, damage: str, word: str
) -> None:
    answer = stranger.get("/healthz")
    assert (answer.status_code, answer.text) == (200, "ok\n")
    assert "Set-Cookie" not in answer.headers
    assert "no-store" in answer.headers["Cache-Control"]

    with record.database.writing() as session:
        session.connection().exec_driver_sql(damage)
        session.commit()
    answer = stranger.get("/healthz")
    assert (answer.status_code, answer.text) == (503, f"{word}\n")
