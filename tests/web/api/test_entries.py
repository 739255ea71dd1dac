"""What programs write down, and the history of what was done."""

from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import func, select

from app.domain.drafts import NewStockEvent, NewTest
from app.domain.quantities import Quantity
from app.domain.records import StockEventKind
from app.services import entries
from app.services.livestock import animals
from app.storage.models.entry import Entry
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, reading
from tests.web.api.conftest import Caller, MakeCaller, code, places, warm
from tests.web.visits import seen

PH = {"quantity": "ph", "value": 7.1, "unit": ""}
CHANGE: dict[str, Any] = {"kind": "job", "job": "water_change", "liters_out": 20, "treated": "yes"}


def entry_count(record: Record) -> int:
    with record.database.reading() as session:
        return session.scalar(select(func.count(Entry.id))) or 0


@pytest.mark.parametrize(
    ("sent", "kind", "detail"),
    [
        ({"kind": "feeding", "scoops": 1.5}, "feeding", {"scoops": 1.5, "grams": None}),
        ({"kind": "water_test", "readings": [PH]}, "water_test", None),
        (
            {"kind": "observation", "seen": 16, "lid_closed": True, "signs": ["film", "film"]},
            "observation", {"seen": 16, "lid_closed": True, "plug_on": None, "signs": ["film"]},
        ),
        (CHANGE, "job", {"job": "water_change", "liters_out": 20, "liters_in": 20}),
        (CHANGE | {"liters_in": 19}, "job", {"liters_out": 20, "liters_in": 19, "treated": "yes"}),
        (
            {"kind": "job", "job": "top_up", "liters_in": 2, "treated": "no", "new_water_c": 18},
            "job", {"job": "top_up", "liters_out": None, "liters_in": 2, "new_water_c": 18},
        ),
        ({"kind": "job", "job": "filter_rinse", "rinse": "tank"}, "job", {"rinse": "tank"}),
        ({"kind": "job", "job": "conditioner"}, "job", {"job": "conditioner", "treated": "yes"}),
    ],
)  # fmt: skip
def test_an_entry_is_written_and_told(
    caller: Caller, sent: dict[str, Any], kind: str, detail: dict[str, Any] | None
) -> None:
    answer = caller.write(**sent)
    assert answer.status_code == 201, answer.text
    told = answer.json
    assert told is not None
    assert told["kind"] == kind
    assert (told["status"], told["by"], told["replaces"]) == ("ok", "program", None)
    assert told["happened_at"] == "2027-02-08T08:41:00-05:00"
    assert (told["detail"] or {}).items() >= (detail or {}).items()
    where = answer.headers["Location"]
    assert where == f"/api/v1/tanks/1/entries/{told['id']}"
    assert caller.shown(where.removeprefix("/api/v1")) == told


def test_what_was_measured_with_it_hangs_on_it(caller: Caller) -> None:
    told = caller.write(kind="feeding", scoops=1, readings=[warm(24.5)]).json
    assert told is not None
    (row,) = told["readings"]
    assert (row["entry_id"], row["entry_kind"], row["value"]) == (told["id"], "feeding", 24.5)


def test_the_story_says_that_a_program_wrote_it(caller: Caller, adult: CheckedClient) -> None:
    caller.write(kind="feeding", scoops=1)
    assert "A program" in seen(adult, "/tank/1/story")


def test_the_same_key_gives_the_same_answer(caller: Caller, record: Record) -> None:
    before = entry_count(record)
    sent: dict[str, Any] = {"kind": "feeding", "scoops": 1, "readings": [warm(24.5)]}
    first = caller.write("meal-of-monday", **sent)
    again = caller.write("meal-of-monday", **sent)
    assert (first.status_code, again.status_code) == (201, 201)
    assert (first.json, first.headers["Location"]) == (again.json, again.headers["Location"])
    assert entry_count(record) == before + 1


def test_a_key_is_known_with_and_without_its_quotes(caller: Caller) -> None:
    """As a text of RFC 8941 it has quotes; many clients leave them out."""
    first = caller.write('"meal-of-monday"', kind="feeding", scoops=1)
    assert caller.write("meal-of-monday", kind="feeding", scoops=1).json == first.json


@pytest.mark.parametrize(
    "other",
    [
        {"scoops": 2},
        {"at": "2027-02-08T08:00:00-05:00"},
        {"readings": [warm(24.6)]},
        {"readings": []},
        {"kind": "observation", "seen": 16, "scoops": None},
    ],
)
def test_the_same_key_with_another_content_is_refused(
    caller: Caller, record: Record, other: dict[str, Any]
) -> None:
    """422, as the draft of the HTTPAPI working group on the header has it."""
    sent: dict[str, Any] = {"kind": "feeding", "scoops": 1, "readings": [warm(24.5)]}
    caller.write("meal-of-monday", **sent)
    before = entry_count(record)
    changed = {name: value for name, value in (sent | other).items() if value is not None}
    assert code(caller.write("meal-of-monday", **changed)) == (422, "key-reused")
    assert entry_count(record) == before


def test_a_retry_is_known_although_the_tank_changed_meanwhile(caller: Caller) -> None:
    """A value that was taken is not asked about when it comes again."""
    at = "2027-02-01T08:00:00-05:00"
    sent: dict[str, Any] = {"kind": "water_test", "at": at, "readings": [warm(27)]}
    first = caller.write("test-of-february", **sent)
    for day in range(2, 8):
        caller.measure(warm(22, f"2027-01-3{day % 2}T08:00:0{day}-05:00"))
    assert caller.write("test-of-february", **sent).json == first.json


def test_keys_of_two_programs_never_meet(caller_of: MakeCaller, record: Record) -> None:
    before = entry_count(record)
    for _ in range(2):
        assert caller_of().write("job-of-monday", kind="job", job="glass").status_code == 201
    assert entry_count(record) == before + 2


@pytest.mark.parametrize(
    "key", ["", "short", "x" * 65, "with space in it", '"', "k\u00e4se-und-brot"]
)
def test_an_entry_needs_a_key(caller: Caller, key: str) -> None:
    headers = {"Idempotency-Key": key} if key else {}
    answer = caller.ask(
        "POST", "/tanks/1/entries", json={"kind": "feeding", "scoops": 1}, headers=headers
    )
    assert code(answer) == (400, "key")


def test_a_second_meal_is_asked_about(caller: Caller, record: Record) -> None:
    record.write(ONE_SCOOP, by=record.otter)
    before = entry_count(record)
    answer = caller.write(kind="feeding", scoops=1)
    assert code(answer) == (409, "food")
    assert "Otter" not in answer.text
    assert entry_count(record) == before
    assert caller.write(kind="feeding", scoops=1, again=True).status_code == 201


def test_more_animals_than_are_written_down_are_asked_about(caller: Caller) -> None:
    assert code(caller.write(kind="observation", seen=17)) == (409, "count")
    assert caller.write(kind="observation", seen=17, confirmed=True).status_code == 201
    assert caller.write(kind="observation", seen=16).status_code == 201


def test_a_count_does_not_tell_of_a_loss_that_is_not_told(caller: Caller, record: Record) -> None:
    hide_a_loss(record)
    assert caller.write(kind="observation", seen=16).status_code == 201


def test_no_more_water_comes_out_than_the_tank_holds(caller: Caller) -> None:
    assert code(caller.write(**CHANGE | {"liters_out": 90})) == (409, "refused")
    assert caller.write(**CHANGE | {"liters_out": 85}).status_code == 201


@pytest.mark.parametrize(
    ("sent", "where"),
    [
        ({}, ["#/kind"]),
        ({"kind": "feeding"}, ["#/scoops"]),
        ({"kind": "feeding", "scoops": "1"}, ["#/scoops"]),
        ({"kind": "feeding", "scoops": True}, ["#/scoops"]),
        ({"kind": "feeding", "scoops": 0}, ["#/scoops"]),
        ({"kind": "feeding", "scoops": 1, "grams": 2}, ["#/grams"]),
        ({"kind": "feeding", "scoops": 1, "at": "2027-02-08T08:00:00"}, ["#/at"]),
        ({"kind": "logger"}, ["#/kind"]),
        ({"kind": "job", "job": "treatment"}, ["#/job"]),
        ({"kind": "job", "job": "top_up"}, ["#/liters_in", "#/treated"]),
        ({"kind": "water_test", "readings": []}, ["#/readings"]),
        ({"kind": "observation", "algae": 4, "signs": ["x"]}, ["#/algae", "#/signs/0"]),
        ({"kind": "observation", "note": "a\x00b"}, ["#/note"]),
        ({"kind": "observation", "note": "x" * 501}, ["#/note"]),
        ({"kind": "observation", "a/b~c": 1}, ["#/a~1b~0c"]),
    ],
)
def test_what_does_not_fit_is_named(caller: Caller, sent: dict[str, Any], where: list[str]) -> None:
    answer = caller.write(**sent)
    assert answer.status_code == 422
    assert places(answer) == where


def test_a_look_says_something(caller: Caller) -> None:
    empty: list[dict[str, Any]] = [
        {},
        {"note": "  "},
        {"signs": []},
        {"seen": None, "readings": []},
    ]
    for nothing in empty:
        answer = caller.write(kind="observation", **nothing)
        assert answer.status_code == 422
        assert places(answer) == ["#"]
    assert caller.write(kind="observation", readings=[warm(24)]).status_code == 201


def test_words_of_a_program_wait_for_an_adult(caller: Caller, adult: CheckedClient) -> None:
    caller.write(kind="observation", note="The pump hums.")
    assert "The pump hums." in seen(adult, "/tank/1/notebook/waiting")


# the history


def hide_a_loss(record: Record) -> int:
    draft = NewStockEvent(what=StockEventKind.DIED, group_id=1, count=1, hidden=True)
    return record.write(draft, at=MONDAY - timedelta(hours=2)).entry_id


def ids(caller: Caller, query: str = "") -> list[int]:
    return [entry["id"] for entry in caller.shown(f"/tanks/1/entries{query}")["entries"]]


def test_a_loss_is_told_once_the_pupils_know(caller: Caller, record: Record) -> None:
    loss = hide_a_loss(record)
    assert loss not in ids(caller)
    assert loss not in ids(caller, "?all=true&kind=stock_event")
    assert caller.get(f"/tanks/1/entries/{loss}").status_code == 404
    with record.database.writing() as session:
        animals.release_losses(session, 1)
    assert loss in ids(caller)
    assert caller.shown(f"/tanks/1/entries/{loss}")["detail"]["what"] == "died"


def test_what_was_corrected_or_taken_back_counts_no_more(caller: Caller, record: Record) -> None:
    ph = reading(Quantity.PH, 7.1)
    wrong, gone = record.write(NewTest(), ph).entry_id, record.write(ALL_FINE).entry_id
    with record.database.writing() as session:
        fixed = entries.correct(
            session, record.stamp(), wrong, NewTest(), [reading(Quantity.PH, 7.3)],
            reason="slip", visitor=record.adult, now=record.now,
        ).entry_id  # fmt: skip
    with record.database.writing() as session:
        entries.withdraw(session, 1, gone, visitor=record.adult, now=record.now)
    assert fixed in ids(caller)
    assert not {wrong, gone} & set(ids(caller))
    told = {e["id"]: e for e in caller.shown("/tanks/1/entries?all=true")["entries"]}
    assert (told[wrong]["status"], told[gone]["status"]) == ("corrected", "withdrawn")
    assert told[fixed]["replaces"] == wrong
    assert [r["value"] for r in caller.shown("/tanks/1/readings")["readings"]] == [7.3]


def test_pages_of_entries_follow_each_other(caller: Caller, record: Record) -> None:
    for minute in (3, 2, 2, 2, 1):
        record.write(ALL_FINE, at=MONDAY - timedelta(minutes=minute))
    whole = ids(caller)
    found: list[int] = []
    cursor = ""
    for _ in range(10):
        page = caller.shown(f"/tanks/1/entries?limit=2{cursor}")
        found += [entry["id"] for entry in page["entries"]]
        if page["next_cursor"] is None:
            break
        cursor = f"&cursor={page['next_cursor']}"
    assert found == whole
    assert len(found) == 7


def test_entries_of_a_kind_and_a_time(caller: Caller, record: Record) -> None:
    look = record.write(ALL_FINE, at=MONDAY - timedelta(days=1)).entry_id
    meal = record.write(ONE_SCOOP).entry_id
    assert ids(caller, "?kind=observation") == [look]
    assert ids(caller, "?since=2027-02-08T00:00:00-05:00") == [meal]
    assert ids(caller, "?kind=feeding&until=2027-02-07T23:00:00Z") == []
