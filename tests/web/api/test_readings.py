"""What devices send, and the measured history."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import func, select

from app.clock import FixedClock
from app.domain.quantities import Quantity
from app.services import entries, tanks, tasks
from app.services.api import device
from app.storage import snapshot
from app.storage.models.entry import Entry
from app.storage.models.water import Logger, Reading
from app.web.api.operation import MOST_BYTES
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.statements import asked_of
from tests.web.api.conftest import Caller, MakeCaller, code, places, warm
from tests.web.visits import seen

QUARTER = timedelta(minutes=15)


def logger_entries(record: Record) -> list[tuple[str, str, int]]:
    """The entries of devices: local day, status, readings that they count."""
    with record.database.reading() as session:
        rows = session.execute(
            select(Entry.local_day, Entry.status, Logger.rows)
            .join(Logger, Logger.entry_id == Entry.id)
            .order_by(Entry.id)
        )
        return [(str(day), status, count) for day, status, count in rows]


def test_a_day_of_a_device_is_one_entry(caller: Caller, record: Record) -> None:
    first = caller.measure(warm(24.0, "2027-02-08T08:00:00-05:00"))
    assert (first.status_code, first.json) == (
        201, {"added": 1, "known": 0, "different": [], "entry_ids": [3]},
    )  # fmt: skip
    # midnight at the tank is 05:00 in UTC: half past eleven at night is another day
    second = caller.measure(warm(24.1, "2027-02-08T13:15:00Z"), warm(23.9, "2027-02-08T04:30:00Z"))
    assert second.json == {"added": 2, "known": 0, "different": [], "entry_ids": [4, 3]}
    assert logger_entries(record) == [("2027-02-08", "ok", 2), ("2027-02-07", "ok", 1)]


def test_what_is_sent_again_is_the_same_reading(caller: Caller, record: Record) -> None:
    day = [warm(24.0, "2027-02-08T08:00:00-05:00"), warm(24.2, "2027-02-08T08:15:00-05:00")]
    caller.measure(*day)
    with record.database.reading() as session:
        before = tanks.revision(session, 1)
    again = caller.measure(*day, day[0])
    assert again.status_code == 200
    assert again.json == {"added": 0, "known": 3, "different": [], "entry_ids": [3]}
    with record.database.reading() as session:
        assert tanks.revision(session, 1) == before
        assert session.scalar(select(func.count(Reading.id))) == 2


def test_another_value_of_the_same_moment_is_told_and_not_taken(caller: Caller) -> None:
    at = "2027-02-08T08:00:00-05:00"
    caller.measure(warm(24.0, at))
    # the same moment, written with another offset
    answer = caller.measure(
        warm(24.1, "2027-02-08T08:10:00-05:00"), warm(25.0, "2027-02-08T13:00:00Z")
    )
    assert answer.json == {"added": 1, "known": 0, "different": [1], "entry_ids": [3]}
    values = [row["value"] for row in caller.shown("/tanks/1/readings")["readings"]]
    assert values == [24.1, 24.0]


def test_two_devices_have_an_entry_each(caller_of: MakeCaller, record: Record) -> None:
    for _ in range(2):
        assert caller_of().measure(warm(24.0, "2027-02-08T08:00:00-05:00")).status_code == 201
    assert [day for day, _, _ in logger_entries(record)] == ["2027-02-08"] * 2


def test_undoing_the_day_takes_all_of_it_back(caller: Caller, record: Record) -> None:
    caller.measure(warm(24.0, "2027-02-08T08:00:00-05:00"), warm(24.2, "2027-02-08T08:15:00-05:00"))
    with record.database.writing() as session:
        entries.withdraw(session, 1, 3, visitor=record.adult, now=record.now)
    assert caller.shown("/tanks/1/readings")["readings"] == []
    # what comes after it is a new entry; what was taken back may come again
    caller.measure(warm(24.2, "2027-02-08T08:15:00-05:00"))
    assert logger_entries(record) == [("2027-02-08", "withdrawn", 2), ("2027-02-08", "ok", 1)]


def test_the_story_says_how_much_came(caller: Caller, adult: CheckedClient) -> None:
    caller.measure(warm(24.0, "2027-02-08T08:00:00-05:00"), warm(24.2, "2027-02-08T08:15:00-05:00"))
    words = seen(adult, "/tank/1/story")
    assert "Hall thermometer" in words
    assert "2 readings" in words


def test_a_value_keeps_the_unit_it_was_sent_in(caller: Caller) -> None:
    caller.measure({"quantity": "temperature", "value": 77, "unit": "°F"})
    (row,) = caller.shown("/tanks/1/readings")["readings"]
    assert (row["value"], row["unit"]) == (25.0, "°C")
    assert (row["typed"], row["typed_unit"]) == ("77", "°F")
    assert (row["by"], row["entry_kind"]) == ("program", "logger")


def test_the_basis_is_named_where_it_could_be_either(caller: Caller) -> None:
    nitrate = {"quantity": "nitrate", "value": 5, "unit": "mg/L"}
    answer = caller.measure(nitrate)
    assert code(answer) == (422, "impossible")
    assert "as nitrate" in answer.text
    assert "as N" in answer.text
    # 62.0049 / 14.0067 = 4.42681 (IUPAC standard atomic weights 2021, abridged)
    assert caller.measure(nitrate | {"basis": "as N"}).status_code == 201
    (row,) = caller.shown("/tanks/1/readings")["readings"]
    assert row["value"] == pytest.approx(5 * 4.42681, rel=1e-4)
    assert (row["basis"], row["typed_basis"]) == ("as nitrate", "as N")


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        (warm(85), "Did you mean 85 °F"),
        (warm(-0.5), "ice"),
        ({"quantity": "ph", "value": 72, "unit": ""}, "Did you mean 7.2"),
        ({"quantity": "ph", "value": 7, "unit": "°C"}, "sent with the unit"),
        ({"quantity": "temperature", "value": 24, "unit": "K"}, "sent with the unit"),
    ],
)
def test_what_no_tank_shows_is_refused(caller: Caller, sent: dict[str, object], says: str) -> None:
    answer = caller.measure(warm(24), sent)
    assert code(answer) == (422, "impossible")
    assert places(answer) == ["#/readings/1/value"]
    assert says in answer.text.replace("\u00a0", " ")
    assert caller.shown("/tanks/1/readings")["readings"] == []


def test_what_is_far_from_usual_is_asked_about(caller: Caller) -> None:
    for minutes in range(5):
        caller.measure(warm(24.0 + minutes / 10, f"2027-02-08T08:0{minutes}:00-05:00"))
    odd = warm(28.5, "2027-02-08T08:10:00-05:00")
    answer = caller.measure(odd)
    assert code(answer) == (409, "unusual")
    assert '"confirmed\\": true' in answer.text
    assert caller.measure(odd | {"confirmed": True}).status_code == 201


def test_within_one_post_values_are_weighed_in_their_order(caller: Caller) -> None:
    """A tank that warms slowly all day is never surprising, in whatever order it is told."""
    slow = [warm(22 + hour / 4, f"2027-02-07T{hour:02}:00:00-05:00") for hour in range(24)]
    assert caller.measure(*reversed(slow)).status_code == 201


def test_a_device_without_a_clock_sends_no_time(caller: Caller) -> None:
    caller.measure(warm(24))
    (row,) = caller.shown("/tanks/1/readings")["readings"]
    assert datetime.fromisoformat(row["at"]) == MONDAY
    assert row["at"].endswith("-05:00")


def test_no_time_lies_ahead(caller: Caller) -> None:
    answer = caller.measure(warm(24, "2027-02-08T08:47:00-05:00"))
    assert code(answer) == (422, "impossible")
    assert caller.measure(warm(24, "2027-02-08T08:45:00-05:00")).status_code == 201


def test_a_closed_tank_takes_nothing_of_later_days(caller: Caller, record: Record) -> None:
    with record.database.writing() as session:
        day = (MONDAY - timedelta(days=1)).date()
        tanks.close(session, 1, day, now=MONDAY, though_animals=True)
    assert code(caller.measure(warm(24, "2027-02-08T08:00:00-05:00"))) == (409, "refused")
    assert caller.measure(warm(24, "2027-02-07T08:00:00-05:00")).status_code == 201


def minutes(first: int, last: int) -> list[dict[str, object]]:
    start = datetime(2027, 2, 7, 5, tzinfo=UTC)
    return [warm(24, (start + timedelta(seconds=10 * n)).isoformat()) for n in range(first, last)]


def test_one_device_sends_so_many_a_day(caller: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(device, "MOST_A_DAY", 30)
    assert caller.measure(*minutes(0, 20)).status_code == 201
    assert caller.measure(*minutes(20, 30)).status_code == 201
    assert code(caller.measure(*minutes(30, 31))) == (409, "refused")
    assert caller.measure(*minutes(0, 20)).status_code == 200


def test_too_many_at_once_are_refused(caller: Caller) -> None:
    assert places(caller.measure(*minutes(0, 501))) == ["#/readings"]
    assert places(caller.measure()) == ["#/readings"]
    body = b'{"readings": [' + b" " * MOST_BYTES + b"]}"
    answer = caller.ask("POST", "/tanks/1/readings", data=body, content_type="application/json")
    assert code(answer) == (413, "")


# the history


def test_pages_follow_each_other_without_a_gap(caller: Caller, record: Record) -> None:
    at = [MONDAY - QUARTER * n for n in range(7)]
    caller.measure(*[warm(24 + n / 10, at[n].isoformat()) for n in range(7)])
    # of one moment several
    nitrate = {"quantity": "nitrate", "value": 20, "unit": "mg/L", "basis": "as nitrate"}
    for _ in range(3):
        caller.write(kind="water_test", at=at[3].isoformat(), readings=[nitrate])
    whole = caller.shown("/tanks/1/readings")
    assert whole["next_cursor"] is None
    found, path = [], "/tanks/1/readings?limit=2"
    cursor = ""
    while True:
        page = caller.shown(path + cursor)
        assert 1 <= len(page["readings"]) <= 2
        found += page["readings"]
        if page["next_cursor"] is None:
            break
        cursor = f"&cursor={page['next_cursor']}"
    assert found == whole["readings"]
    assert len(found) == 10


def test_a_part_of_the_history_is_asked_for(caller: Caller) -> None:
    caller.measure(
        warm(24.1, "2027-02-08T08:00:00-05:00"),
        warm(24.2, "2027-02-08T08:15:00-05:00"),
        warm(24.3, "2027-02-08T08:30:00-05:00"),
        {"quantity": "ph", "value": 7.1, "unit": "", "at": "2027-02-08T08:15:00-05:00"},
    )

    def values(query: str) -> list[float]:
        rows = caller.shown(f"/tanks/1/readings?{query}")["readings"]
        return [row["value"] for row in rows]

    assert values("quantity=temperature") == [24.3, 24.2, 24.1]
    assert values("quantity=ph") == [7.1]
    assert values("quantity=nitrate") == []
    # both ends are included
    assert values("quantity=temperature&since=2027-02-08T08:15:00-05:00") == [24.3, 24.2]
    assert values("until=2027-02-08T13:15:00Z&quantity=temperature") == [24.2, 24.1]
    # the plus of an offset, written as it is and as %2B
    assert values("quantity=ph&since=2027-02-08T14:15:00+01:00") == [7.1]
    assert values("quantity=ph&since=2027-02-08T14:16:00%2B01:00") == []


@pytest.mark.parametrize(
    ("query", "where"),
    [
        ("limit=0", "?limit"),
        ("limit=501", "?limit"),
        ("limit=ten", "?limit"),
        ("quantity=salt", "?quantity"),
        ("since=2027-02-08", "?since"),
        ("since=2027-02-08T08:00:00", "?since"),
        ("cursor=", "?cursor"),
        ("page=2", "?page"),
        ("limit=1&limit=2", "?limit"),
    ],
)
def test_a_question_that_cannot_be_understood_is_refused(
    caller: Caller, query: str, where: str
) -> None:
    answer = caller.get(f"/tanks/1/readings?{query}")
    assert answer.status_code == 422
    assert places(answer) == [where]


@pytest.mark.parametrize(
    "path", ["/tanks", "/tanks/1", "/tanks/1/evaluation", "/tanks/1/readings", "/tanks/1/entries"]
)
def test_an_answer_is_sent_again_only_when_the_record_changed(caller: Caller, path: str) -> None:
    etag = caller.get(path).headers["ETag"]
    again = caller.get(path, **{"If-None-Match": etag})
    assert (again.status_code, again.data) == (304, b"")
    assert again.headers["ETag"] == etag
    assert again.headers["Cache-Control"] == "private, no-cache"
    assert caller.get(path, **{"If-None-Match": '"another"'}).status_code == 200
    caller.write(kind="observation", seen=16, readings=[warm(24)])
    assert caller.get(path, **{"If-None-Match": etag}).status_code == 200


@pytest.mark.parametrize(
    "cursor", ["x", "MjAyNy0wMi0wOFQxMzowMDowMH4y", "\u00e4", "fjE=", "MjAyN34x"]
)
def test_a_page_that_was_invented_is_not_there(caller: Caller, cursor: str) -> None:
    """Among them one whose moment has no offset."""
    assert caller.get(f"/tanks/1/readings?cursor={cursor}").status_code == 404
    assert caller.get(f"/tanks/1/entries?cursor={cursor}").status_code == 404


def test_an_unchanged_history_is_not_read_again(caller: Caller, record: Record) -> None:
    etag = caller.get("/tanks/1/readings").headers["ETag"]
    with asked_of(record.database) as asked:
        caller.get("/tanks/1/readings", **{"If-None-Match": etag})
    assert not [said for said in asked if "FROM reading" in said]


def live(record: Record, caller: Caller, first_day: int, last_day: int) -> None:
    """Days of a logger that measures every quarter of an hour, counted back from yesterday."""
    start = MONDAY.replace(hour=5, minute=0)
    for days in range(first_day, last_day):
        day = start - timedelta(days=days + 1)
        caller.measure(*[warm(24 + n % 4 / 10, (day + QUARTER * n).isoformat()) for n in range(96)])


def test_years_of_a_logger_cost_a_page_nothing(caller: Caller, record: Record) -> None:
    """As many statements, and as many readings of the logger in what rules look at."""
    paths = ("/tanks/1/readings?limit=50", "/tanks/1/entries?limit=2", "/tanks/1/evaluation")

    def cost() -> list[int]:
        counts = []
        for path in paths:
            with asked_of(record.database) as asked:
                caller.shown(path)
            counts.append(len(asked))
        with record.database.reading() as session:
            (loaded,) = snapshot.load(session, [1], MONDAY)
        return [*counts, len(loaded.of(Quantity.TEMPERATURE))]

    live(record, caller, 0, 10)
    before = cost()
    assert 7 * 96 < before[-1] < 9 * 96
    live(record, caller, 10, 20)
    assert cost() == before


@pytest.mark.sqlite_only("a plan as SQLite words it")
@pytest.mark.parametrize("query", ["", "&quantity=temperature"])
def test_a_page_of_readings_is_found_by_index(record: Record, caller: Caller, query: str) -> None:
    """SQLite's plan for a page far back names the index with its time, and scans no table."""
    live(record, caller, 0, 2)
    cursor = caller.shown("/tanks/1/readings?limit=50")["next_cursor"]
    with asked_of(record.database) as asked:
        caller.shown(f"/tanks/1/readings?limit=50&cursor={cursor}{query}")
    (statement,) = [said for said in asked if "FROM reading" in said]
    with record.database.engine.connect() as connection:
        marks = statement.count("?")
        plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", tuple([1] * marks))
        steps = [row[3] for row in plan]
    # each row that is shown is fetched by its number
    probes = [s for s in steps if "SEARCH reading" in s and "rowid=?" not in s]
    assert probes
    assert all("at<?" in step for step in probes)
    assert not [step for step in steps if "SCAN reading" in step or "SCAN entry" in step]


def test_a_reading_is_no_look(caller: Caller, record: Record, clock: FixedClock) -> None:
    """A thermometer that measures says that it is warm, and not that somebody was there."""
    caller.measure(warm(24.5))
    with record.database.reading() as session:
        _, evaluation = tasks.look(session, [1], now=clock.now())[1]
    assert evaluation.state.word == "Don’t know"
    assert "look" in {task.key for task in evaluation.tasks}
