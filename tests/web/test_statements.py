"""Pages ask the record as often for a long history, or for many tanks, as for a short one."""

from datetime import timedelta

import pytest

from app.domain.drafts import NewJob, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.services import entries
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, reading
from tests.statements import asked_of
from tests.web.test_access import add_tank


def statements(record: Record, client: CheckedClient, url: str) -> int:
    with asked_of(record.database) as said:
        assert client.get(url).status_code == 200
    return len(said)


@pytest.mark.parametrize(
    "url",
    ["/tank/1/", "/tank/1/door", "/tank/1/to-do", "/tank/1/story", "/tank/1/charts/temperature"],
)
def test_a_longer_history_needs_no_more_statements(
    adult: CheckedClient, record: Record, url: str
) -> None:
    def live(first_day: int, last_day: int) -> None:
        for days in range(first_day, last_day):
            warm = reading(Quantity.TEMPERATURE, 24.5)
            record.write(ONE_SCOOP, warm, at=MONDAY - timedelta(days=days), by=record.otter)

    live(0, 3)
    few = statements(record, adult, url)
    live(3, 60)
    # fewer where the page now holds fewer kinds of entries
    assert statements(record, adult, url) <= few


def test_the_story_asks_as_often_for_entries_of_many_kinds(
    adult: CheckedClient, record: Record
) -> None:
    few = statements(record, adult, "/tank/1/story?kind=food")
    ammonia = reading(Quantity.AMMONIA, 0.0)
    record.write(NewTest(note="Clear."), ammonia)
    job = record.write(NewJob(job=JobKind.GLASS))
    record.write(ALL_FINE)
    with record.database.writing() as session:
        entries.withdraw(session, 1, job.entry_id, visitor=record.adult, now=record.now)
    assert statements(record, adult, "/tank/1/story") == few


def test_more_tanks_need_no_more_statements(adult: CheckedClient, record: Record) -> None:
    add_tank(record, "Pool")
    few = statements(record, adult, "/tanks")
    for number in range(8):
        add_tank(record, f"Pool {number}")
    assert statements(record, adult, "/tanks") == few
