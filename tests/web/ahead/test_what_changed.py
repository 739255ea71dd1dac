"""What changed before a problem, through the pages."""

from datetime import timedelta
from typing import Any

import pytest

from app.domain.drafts import NewJob, NewLook, NewMeal, NewStockEvent
from app.domain.records import JobKind, Rinse, Sign, StockEventKind, Treated
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.test_statements import statements
from tests.web.visits import seen

URL = "/tank/1/ahead/what-changed"


def done(record: Record, days_ago: float, job: JobKind, **more: Any) -> None:
    record.write(NewJob(job=job, **more), at=record.now - timedelta(days=days_ago))


def saw(record: Record, days_ago: float, *signs: Sign) -> None:
    record.write(NewLook(signs=signs), at=record.now - timedelta(days=days_ago))


@pytest.fixture
def gasping(record: Record) -> Record:
    """Gasping an hour ago; two rinses before, one calm and one two days ago."""
    done(record, 60, JobKind.FILTER_RINSE, rinse=Rinse.TANK)
    done(record, 2, JobKind.FILTER_RINSE, rinse=Rinse.TAP)
    saw(record, 1 / 24, Sign.GASPING)
    return record


def test_without_a_problem_a_day_may_be_chosen(adult: CheckedClient) -> None:
    page = seen(adult, URL)

    assert "No sign, loss or bad test was ever written here." in page
    assert "The day of the problem" in page


@pytest.mark.usefixtures("gasping")
def test_the_newest_problem_with_what_came_before_it(adult: CheckedClient) -> None:
    page = seen(adult, URL)

    assert "Gasping at the surface, today" in page
    assert "Filter cleaned" in page
    assert "It came before 1 time: no problem was written in the 14 days after." in page
    assert "1 ÷ 1 × 100 = 100 %" in page
    assert "What came before is not always why." in page
    assert "caused" not in page


def test_what_never_came_before_stands_first(adult: CheckedClient, gasping: Record) -> None:
    done(gasping, 1, JobKind.WATER_CHANGE, treated=Treated.NO, liters_out=20.0, liters_in=20.0)
    page = seen(adult, URL)

    first, second = (page.index(t) for t in ("Tap water without conditioner", "Filter cleaned"))
    assert first < second
    assert "It is the first time in this tank." in page


def test_a_look_of_another_day(adult: CheckedClient, gasping: Record) -> None:
    saw(gasping, 50, Sign.CLOUDY)
    other = (gasping.now - timedelta(days=50)).date().isoformat()

    assert f"{URL}?at={other}" in adult.get(URL).text
    page = seen(adult, f"{URL}?at={other}")

    assert "Cloudy water" in page
    assert "Filter cleaned" in page


@pytest.mark.usefixtures("gasping")
def test_a_day_without_a_problem_is_looked_at_too(adult: CheckedClient) -> None:
    page = seen(adult, f"{URL}?at=2027-01-01")

    assert "No sign, loss or bad test is written on this day." in page
    assert "the end of Friday 1 January 2027" in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("soon", "Write the day as year-month-day"),
        ("2030-01-01", "This day has not come yet."),
        ("0001-01-10", "Write a year from 1990 to 2199."),
        ("9999-12-31", "Write a year from 1990 to 2199."),
    ],
)
@pytest.mark.usefixtures("gasping")
def test_a_day_that_cannot_be_is_said_beside_the_field(
    adult: CheckedClient, typed: str, said: str
) -> None:
    answer = adult.get(f"{URL}?at={typed}")

    assert answer.status_code == 422
    assert said in answer.text


def test_a_loss_and_its_why_card(adult: CheckedClient, record: Record) -> None:
    record.write(NewStockEvent(what=StockEventKind.DIED, group_id=1, count=1))
    record.write(NewMeal(scoops=1.0), at=record.now - timedelta(hours=3))
    record.write(NewMeal(scoops=1.0), at=record.now - timedelta(hours=2))

    page = seen(adult, URL)

    assert "1 died" in page
    assert "2 meals" in page
    assert "what-changed?at=2027-02-08" in adult.get("/tank/1/to-do/after-loss").text


def test_the_page_is_for_adults(helper: CheckedClient) -> None:
    assert helper.get(URL).status_code == 403


def test_years_of_entries_need_no_more_statements(adult: CheckedClient, gasping: Record) -> None:
    few = statements(gasping, adult, URL)
    for days in range(30, 400, 10):
        done(gasping, days, JobKind.SIPHON)
        saw(gasping, days, Sign.CLOUDY)
    assert statements(gasping, adult, URL) == few


def test_a_planned_change_that_nobody_wrote_comes_before_too(
    adult: CheckedClient, gasping: Record
) -> None:
    # every 7 days: due 13 and 6 days ago after the last one 20 days ago
    done(gasping, 20, JobKind.WATER_CHANGE, liters_out=20.0, liters_in=20.0)

    page = seen(adult, URL)

    assert "A planned water change that nobody wrote" in page
    assert "The last was 14 days before" in page
