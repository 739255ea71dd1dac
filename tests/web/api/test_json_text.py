"""Bodies that are no JSON, or JSON that programs could read differently (RFC 8259)."""

from decimal import Decimal

import pytest

from app.web.api.json_text import read_json
from tests.web.api.conftest import Caller, code

WHOLE = '{"readings": [{"quantity": "temperature", "unit": "\u00b0C", "value": %s}]}'


def test_numbers_are_read_as_they_were_written() -> None:
    assert read_json(b'{"a": [1, 24.10, -2e1, true, null, "x"]}') == {
        "a": [1, Decimal("24.10"), Decimal(-20), True, None, "x"]
    }


@pytest.mark.parametrize(
    "body",
    [
        b"", b"{", b"nul", b"{'a': 1}", b'{"a": 1,}', b'{"a": 01}', b"\xff\xfe{}", b'{"a": 1} {}',
        b'\xef\xbb\xbf{"a": 1}',
    ],
)  # fmt: skip
def test_what_is_no_json_is_refused(caller: Caller, body: bytes) -> None:
    answer = caller.ask("POST", "/tanks/1/readings", data=body, content_type="application/json")
    assert code(answer) == (400, "json")


@pytest.mark.parametrize(
    "value",
    [
        "NaN", "Infinity", "-Infinity", "1" * 41, "1." + "0" * 60, "1e" + "9" * 50,
        '24, "value": 25', "[" * 17 + "]" * 17,
    ],
)  # fmt: skip
def test_what_programs_read_differently_is_refused(caller: Caller, value: str) -> None:
    answer = caller.ask(
        "POST", "/tanks/1/readings", data=(WHOLE % value).encode(), content_type="application/json"
    )
    assert code(answer) == (400, "json")


@pytest.mark.parametrize("value", ["1e999999", "-1e400", "1e7", '"24"', "true", "null", "[24]"])
def test_what_is_no_value_is_refused(caller: Caller, value: str) -> None:
    answer = caller.ask(
        "POST", "/tanks/1/readings", data=(WHOLE % value).encode(), content_type="application/json"
    )
    assert answer.status_code == 422
    assert answer.json is not None
    assert answer.json["errors"][0]["where"] == "#/readings/0/value"


@pytest.mark.parametrize(
    "value", ["24", "24.0", "2.4e1", "2400e-2", "24.00000000000000000000000001"]
)
def test_a_number_may_be_written_in_many_ways(caller: Caller, value: str) -> None:
    answer = caller.ask(
        "POST", "/tanks/1/readings", data=(WHOLE % value).encode(), content_type="application/json"
    )
    assert answer.status_code == 201
    (row,) = caller.shown("/tanks/1/readings")["readings"]
    assert (row["typed"], row["value"]) == ("24", 24.0)


def test_brackets_in_a_text_are_no_depth(caller: Caller) -> None:
    note = '\\"' + "[{" * 40
    body = f'{{"kind": "job", "job": "glass", "note": "{note}"}}'
    answer = caller.ask(
        "POST", "/tanks/1/entries", data=body.encode(), content_type="application/json",
        headers={"Idempotency-Key": "brackets-1"},
    )  # fmt: skip
    assert answer.status_code == 201


@pytest.mark.parametrize("half", ["\\ud800", "\\udc00", "\\ud83d", "\\u0000", "\\uffff"])
def test_a_text_that_is_none_is_refused(caller: Caller, half: str) -> None:
    """RFC 8259, section 8.2: half of a surrogate pair is no character."""
    for body in (
        f'{{"kind": "job", "job": "glass", "note": "{half}"}}',
        f'{{"kind": "job", "job": "{half}"}}',
        f'{{"kind": "job", "job": "glass", "{half}": 1}}',
    ):
        answer = caller.ask(
            "POST", "/tanks/1/entries", data=body.encode(), content_type="application/json",
            headers={"Idempotency-Key": "halves-01"},
        )  # fmt: skip
        assert answer.status_code == 422


@pytest.mark.parametrize("kind", ["", "text/plain", "application/x-www-form-urlencoded"])
def test_only_json_is_taken(caller: Caller, kind: str) -> None:
    answer = caller.ask(
        "POST", "/tanks/1/readings", data=(WHOLE % 24).encode(), content_type=kind or None
    )
    assert code(answer) == (415, "")
