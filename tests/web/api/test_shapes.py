"""The one description, read twice: what the schema says and what the check does are the same."""

import json
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Annotated, Any, Literal

import pytest
from jsonschema import Draft202012Validator

from app.domain.quantities import FACTS
from app.web.api import asked
from app.web.api.json_text import read_json
from app.web.api.shapes import Items, Span, Text, from_text, plain, read, schema_of
from app.web.problem import Fault

MOMENT = "2027-02-08T08:30:00-05:00"


@dataclass(frozen=True, kw_only=True)
class Leaf:
    """A leaf."""

    kind: Literal["leaf"]
    size: Annotated[float, Span(0, 10), "In cm."]
    note: Annotated[str, Text(1, 5)] = "-"


@dataclass(frozen=True, kw_only=True)
class Root:
    """A root."""

    kind: Literal["root"]
    deep: Annotated[int, Span(1, 3)] | None = None


@dataclass(frozen=True, kw_only=True)
class Plant:
    """A plant."""

    parts: Annotated[tuple[Leaf | Root, ...], Items(1, 2)]
    green: bool = True


def verdicts(shape: Any, value: Any) -> tuple[bool, bool]:
    """Whether a general-purpose validator takes it by the schema, and whether the check does."""
    known: dict[str, Any] = {}
    schema = schema_of(shape, known) | {"components": {"schemas": known}}
    Draft202012Validator.check_schema(schema)
    faults: list[Fault] = []
    read(shape, value, "#", faults)
    return Draft202012Validator(schema).is_valid(value), not faults


@pytest.mark.parametrize(
    "value",
    [
        {"parts": [{"kind": "leaf", "size": 3}]},
        {"parts": [{"kind": "leaf", "size": 10, "note": "broad"}], "green": False},
        {"parts": [{"kind": "root"}, {"kind": "root", "deep": None}]},
        {"parts": [{"kind": "root", "deep": 2}]},
    ],
)
def test_what_fits_is_taken(value: Any) -> None:
    assert verdicts(Plant, value) == (True, True)


@pytest.mark.parametrize(
    ("value", "where"),
    [
        ([], "#"),
        (None, "#"),
        ({}, "#/parts"),
        ({"parts": []}, "#/parts"),
        ({"parts": {}}, "#/parts"),
        ({"parts": [{"kind": "root"}] * 3}, "#/parts"),
        ({"parts": [1]}, "#/parts/0"),
        ({"parts": [{}]}, "#/parts/0/kind"),
        ({"parts": [{"kind": []}]}, "#/parts/0/kind"),
        ({"parts": [{"kind": "stem"}]}, "#/parts/0/kind"),
        ({"parts": [{"kind": "leaf"}]}, "#/parts/0/size"),
        ({"parts": [{"kind": "leaf", "size": 11}]}, "#/parts/0/size"),
        ({"parts": [{"kind": "leaf", "size": "3"}]}, "#/parts/0/size"),
        ({"parts": [{"kind": "leaf", "size": False}]}, "#/parts/0/size"),
        ({"parts": [{"kind": "leaf", "size": 3, "note": ""}]}, "#/parts/0/note"),
        ({"parts": [{"kind": "leaf", "size": 3, "note": "longer"}]}, "#/parts/0/note"),
        ({"parts": [{"kind": "leaf", "size": 3, "note": None}]}, "#/parts/0/note"),
        ({"parts": [{"kind": "root", "size": 3}]}, "#/parts/0/size"),
        ({"parts": [{"kind": "root", "deep": 4}]}, "#/parts/0/deep"),
        ({"parts": [{"kind": "root", "deep": 1.5}]}, "#/parts/0/deep"),
        ({"parts": [{"kind": "root"}], "green": 1}, "#/green"),
        ({"parts": [{"kind": "root"}], "blue": True}, "#/blue"),
    ],
)
def test_what_does_not_fit_is_refused_at_its_place(value: Any, where: str) -> None:
    exact = read_json(json.dumps(value).encode())
    assert verdicts(Plant, value) == (False, False)
    faults: list[Fault] = []
    read(Plant, exact, "#", faults)
    assert [fault.where for fault in faults] == [where]


def test_what_was_read_has_its_types() -> None:
    faults: list[Fault] = []
    found = read(Plant, read_json(b'{"parts": [{"kind": "leaf", "size": 2.5}]}'), "#", faults)
    assert (found, faults) == (Plant(parts=(Leaf(kind="leaf", size=2.5),)), [])
    assert plain(found) == {
        "parts": [{"kind": "leaf", "size": 2.5, "note": "-"}], "green": True,
    }  # fmt: skip


# RFC 3339, section 5.8, gives the first four as examples; the years are moved past 2000 where
# they lie before, and the leap second is none that Python's calendar has
@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("2005-04-12T23:20:50.52Z", datetime(2005, 4, 12, 23, 20, 50, 520000, UTC)),
        ("2006-12-19T16:39:57-08:00", datetime(2006, 12, 20, 0, 39, 57, tzinfo=UTC)),
        ("2037-01-01T12:00:27.87+00:20", datetime(2037, 1, 1, 11, 40, 27, 870000, UTC)),
        ("2027-02-08t08:30:00z", datetime(2027, 2, 8, 8, 30, tzinfo=UTC)),
    ],
)
def test_moments_are_those_of_rfc_3339(text: str, moment: datetime) -> None:
    assert read(datetime, text, "#", []) == moment


@pytest.mark.parametrize(
    "text",
    [
        "2027-02-08", "2027-02-08T08:30:00", "2027-02-08 08:30:00Z", "2027-02-08T08:30Z",
        "2027-02-30T08:30:00Z", "2027-02-08T24:00:00Z", "2027-02-08T08:30:00+0500",
        "0001-01-01T00:00:00+23:59", "9999-12-31T23:59:59-23:59", "1999-12-31T23:59:59Z",
        "２０27-02-08T08:30:00Z", "20270208T083000Z", "2027-W06-1T08:30:00Z", "",
    ],
)  # fmt: skip
def test_other_moments_are_refused(text: str) -> None:
    faults: list[Fault] = []
    read(datetime, text, "#", faults)
    assert len(faults) == 1


@pytest.mark.parametrize(
    ("annotation", "text", "value"),
    [
        (int, "12", 12), (int, "1.5", "1.5"), (int, "٣", "٣"), (bool, "true", True),
        (bool, "1", "1"), (str, "12", "12"), (Annotated[int, Span(1, 2)] | None, "2", 2),
    ],
)  # fmt: skip
def test_a_parameter_becomes_what_json_would_have(
    annotation: Any, text: str, value: object
) -> None:
    assert from_text(annotation, text) == value


@pytest.mark.parametrize("facts", FACTS.values(), ids=lambda facts: facts.quantity.value)
def test_the_schema_tells_which_units_a_quantity_takes(facts: Any) -> None:
    for unit in facts.units:
        low, high = (unit.from_kept(end) for end in facts.impossible)
        value = {"quantity": facts.quantity.value, "unit": unit.symbol, "basis": unit.basis}
        for number, fits in ((low, True), (high, True), (low - 0.1, False), (high + 0.1, False)):
            sent = value | {"value": round(number, 2)}
            by_schema, _ = verdicts(asked.Value, sent)
            # what the ends of another basis come to is no round number
            if number not in {low, high} or unit.basis == facts.basis:
                assert by_schema is fits, (sent, fits)
        assert verdicts(asked.Value, value | {"unit": "?", "value": 7})[0] is False


@pytest.mark.parametrize(
    ("sent", "fits"),
    [
        ({"kind": "observation"}, False),
        ({"kind": "observation", "seen": None}, False),
        ({"kind": "observation", "seen": 0}, True),
        ({"kind": "observation", "plug_on": False}, True),
        ({"kind": "observation", "signs": []}, False),
        ({"kind": "observation", "note": " "}, False),
        ({"kind": "observation", "note": "calm", "at": MOMENT}, True),
    ],
)
def test_the_schema_tells_that_a_look_says_something(sent: dict[str, Any], fits: bool) -> None:
    assert verdicts(asked.EntrySent, sent)[0] is fits
