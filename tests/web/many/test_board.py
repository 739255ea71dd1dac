"""Three hundred tanks: the board shows what needs somebody, and a trace goes through them."""

import re
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from app.clock import FixedClock
from app.domain.drafts import NewJob
from app.domain.records import JobKind
from app.domain.tank import DayKind
from app.domain.trace import Shared, Sharing, Way
from app.services import entries
from app.services.school import school_days
from tests.page_checker import CheckedClient
from tests.record import MONDAY
from tests.statements import asked_of
from tests.web.many.district import ACT, BATCH, LOT, SCHOOLS, UNSEEN, District, district
from tests.web.visits import seen

MOST_STATEMENTS = 12
MOST_BYTES = 60_000
SIPHON = NewJob(job=JobKind.SIPHON)


@pytest.fixture(scope="module")
def lowmoor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[District]:
    """The district, evaluated once; a test that changes it does so last."""
    folder: Path = tmp_path_factory.mktemp("district")
    with district(folder, FixedClock(MONDAY)) as found:
        yield found


@pytest.fixture
def keeper(lowmoor: District) -> CheckedClient:
    return lowmoor.keeper()


def rows(client: CheckedClient, url: str = "/tanks") -> list[int]:
    """The tanks in the list of a page, in their order."""
    answer = client.get(url)
    assert answer.status_code == 200
    assert len(answer.data) <= MOST_BYTES, f"{url} has {len(answer.data)} bytes"
    return [int(n) for n in re.findall(r"<h3>Tank (\d+)</h3>", answer.text)]


def test_twenty_one_rows_act_first_then_by_age(keeper: CheckedClient) -> None:
    found = rows(keeper)
    assert found == [*ACT, *reversed(UNSEEN)]
    assert len(found) == 21
    text = seen(keeper, "/tanks")
    assert "279 others" in text
    assert "21 tanks need somebody" in text
    assert "Nobody looked on 3 days on which somebody was meant to come." in text
    assert "last look Tue 2 Feb" in text


def test_the_board_asks_few_times_and_stays_small(keeper: CheckedClient, lowmoor: District) -> None:
    rows(keeper)  # from now on every evaluation is kept
    for url in ("/tanks", "/tanks?show=all", "/tanks?lot=H-17&batch=B-204&place=2"):
        with asked_of(lowmoor.record.database) as asked:
            rows(keeper, url)
        assert len(asked) <= MOST_STATEMENTS, url
    for url in ("/rounds", "/trace", "/equipment", "/templates"):
        assert len(keeper.get(url).data) <= MOST_BYTES, url


@pytest.mark.parametrize(
    ("query", "tanks"),
    [
        ("lot=h-17", LOT),
        ("batch=B-204", BATCH),
        ("state=act", ACT),
        ("place=10&state=fog", (299, 300)),
        ("room=Room 1&round=Round 1", (1, 31, 61, 91, 121)),
        ("lot=H-99", ()),
    ],
)
def test_a_filter_shows_all_that_fit(
    keeper: CheckedClient, query: str, tanks: tuple[int, ...]
) -> None:
    assert sorted(rows(keeper, f"/tanks?{query}")) == list(tanks)


def test_every_tank_can_be_reached_from_the_board(keeper: CheckedClient) -> None:
    found, url = [], "/tanks?show=all"
    for _ in range(20):
        found += rows(keeper, url)
        after = re.search(r'href="([^"]+)">After these', keeper.get(url).text)
        if after is None:
            break
        url = after[1].replace("&amp;", "&")
    assert len(found) == len(set(found)) == 300


def test_the_sheet_of_a_round_goes_by_school_and_room(keeper: CheckedClient) -> None:
    assert "Round 1 150 tanks" in seen(keeper, "/rounds")
    text = seen(keeper, "/rounds?round=Round 1")
    assert text.index("Room 2") < text.index("Room 10")
    assert text.index("School 1") < text.index("School 2")
    assert "150 of 150 tanks have something due" in text
    assert "Find out why the plug is off" in text
    assert keeper.get("/rounds?round=Round 7").status_code == 404


def test_a_keeper_finds_what_tanks_shared_by_its_plain_name(keeper: CheckedClient) -> None:
    board = keeper.get("/tanks").text
    assert "Shared with other tanks since a day" in board
    assert ">Trace<" not in board
    assert "<h1>Shared with other tanks since a day</h1>" in keeper.get("/trace").text


def test_a_trace_of_a_batch_lists_who_got_it_and_who_shared_afterwards(
    keeper: CheckedClient, lowmoor: District
) -> None:
    def share(tank_id: int, other: int, days: int, what: Shared, way: Way) -> int:
        at = MONDAY - timedelta(days=days)
        return lowmoor.write(tank_id, SIPHON, at, [Sharing(other, what, way)])

    share(60, 20, 6, Shared.NET, Way.ALSO)  # Tuesday: before the fish came
    share(61, 20, 4, Shared.NET, Way.ALSO)  # Thursday
    share(62, 61, 3, Shared.NET, Way.ALSO)  # Friday, with a tank that could have got it
    share(63, 21, 3, Shared.WATER, Way.FROM)
    share(22, 64, 3, Shared.WATER, Way.FROM)  # water into the batch's tank: nothing came out
    undone = share(65, 22, 3, Shared.NET, Way.ALSO)
    with lowmoor.record.database.writing() as session:
        adult = lowmoor.record.adult
        entries.withdraw(session, 65, undone, visitor=adult, now=MONDAY)
    text = seen(keeper, "/trace?batch=b-204")
    began, reached = text.split("Where it could have come to")
    for tank_id in BATCH:
        assert f"Tank {tank_id:03} from Wednesday 3 February 2027 on" in began
    assert "3 more tanks" in reached
    assert "Tank 020 → net on Thursday 4 February 2027 → Tank 061" in reached
    assert "Tank 061 → net on Friday 5 February 2027 → Tank 062" in reached
    assert "Tank 021 → water on Friday 5 February 2027 → Tank 063" in reached
    for tank_id in (60, 64, 65):
        assert f"Tank {tank_id:03}" not in reached
    assert "14 tanks" not in text
    for url in ("/trace?lot=H-17", "/trace?tank=20&since=2027-02-01"):
        assert keeper.get(url).status_code == 200
    assert "Fill in one of the three" in keeper.get("/trace?lot=H-17&batch=B-204").text
    assert "No tank has that" in seen(keeper, "/trace?batch=B-999")


def test_a_local_holiday_takes_the_rows_of_its_school(
    keeper: CheckedClient, lowmoor: District
) -> None:
    today = date(2027, 2, 8)
    with lowmoor.record.database.writing() as session:
        school_days.add(session, SCHOOLS, today, today, "Founders’ day", kind=DayKind.HOLIDAY)
    found = rows(keeper)
    assert found == [*ACT, *(n for n in reversed(UNSEEN) if n < 299)]
    text = seen(keeper, "/tanks")
    assert "2 tanks were not looked at where nobody is meant to come now: School 10." in text
