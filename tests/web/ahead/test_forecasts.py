"""The ledger of forecasts through its pages: kept with the save, compared with the next test."""

import re
from datetime import timedelta

from app.clock import FixedClock
from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.services import tanks
from app.services.ahead import ledger
from tests.page_checker import CheckedClient
from tests.record import MONDAY, ONE_SCOOP, Record, reading
from tests.web.filling import save
from tests.web.test_statements import statements
from tests.web.visits import seen

PAGE = "/tank/1/ahead/forecasts"
DAY = timedelta(days=1)


def feed(record: Record, first: int = -28, last: int = 0) -> None:
    """A quarter of a gram a day; 0 is Monday."""
    with record.database.writing() as session:
        tanks.weigh_scoop(session, 1, 5.0, 20, now=MONDAY - 100 * DAY)
    for day in range(first, last):
        record.write(ONE_SCOOP, at=MONDAY + day * DAY)


def test_without_a_test_it_says_how_it_begins(adult: CheckedClient) -> None:
    assert "No forecast yet" in seen(adult, PAGE)


def test_a_saved_test_is_forecast_from_and_the_next_one_compared(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    feed(record)
    assert save(adult, "/tank/1/test", nitrate="12").status_code == 303
    text = seen(adult, PAGE)
    assert "Monday 15 February" in text
    assert "not measured yet" in text
    assert "No forecast has met a test yet." in text

    clock.moment = record.now = MONDAY + 7 * DAY
    feed(record, 0, 7)
    assert save(adult, "/tank/1/test", nitrate="13").status_code == 303
    text = seen(adult, PAGE)
    assert "13 mg/L (as nitrate) inside" in text
    assert "1 of 1 test lay inside the range. It promises 90 %" in text
    assert "1 ÷ 1 = 100 %" in text
    assert "told from 5 tests on" in text


def test_a_save_without_nitrate_keeps_nothing(adult: CheckedClient, record: Record) -> None:
    feed(record)
    save(adult, "/tank/1/feed", temperature="24.8")
    assert "No forecast yet" in seen(adult, PAGE)


def test_one_forecast_shows_what_it_rested_on(adult: CheckedClient, record: Record) -> None:
    feed(record)
    save(adult, "/tank/1/test", nitrate="12")
    found = re.search(rf'href="({PAGE}/\d+)"', adult.get(PAGE).text)
    assert found
    text = seen(adult, found[1])
    assert "Forecast for Monday 15 February" in text
    assert "Food in a day 0.23 g Written in the record" in text
    assert "“The same as last time” was 12 mg/L (as nitrate)" in text
    assert adult.get(f"{PAGE}/99").status_code == 404


def test_a_miss_shows_by_how_much(adult: CheckedClient, record: Record, clock: FixedClock) -> None:
    feed(record)
    record.write(NewTest(), reading(Quantity.NITRATE, 12.0))
    with record.database.writing() as session:
        ledger.note(session, 1, now=MONDAY)
    clock.moment = MONDAY + 7 * DAY
    record.now = clock.moment
    record.write(NewTest(), reading(Quantity.NITRATE, 60.0))
    text = seen(adult, PAGE)
    assert re.search(r"60 mg/L \(as nitrate\) outside 4\d mg/L too low", text)


def test_the_overview_leads_there(adult: CheckedClient) -> None:
    text = adult.get("/tank/1/ahead").text
    assert f'href="{PAGE}"' in text
    assert 'href="/tank/1/ahead/predictions"' in text


def test_helpers_do_not_see_it(helper: CheckedClient) -> None:
    assert helper.get(PAGE).status_code == 403


def test_the_ledger_needs_no_more_statements_as_it_grows(
    adult: CheckedClient, record: Record
) -> None:
    feed(record, -90)
    for week in range(6):
        record.now = MONDAY + 7 * week * DAY - 60 * DAY
        record.write(NewTest(), reading(Quantity.NITRATE, 12.0))
        with record.database.writing() as session:
            ledger.note(session, 1, now=record.now)
        if week == 1:
            few = statements(record, adult, PAGE)
    assert statements(record, adult, PAGE) <= few
