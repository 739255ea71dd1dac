"""Closing a tank: the steps, the question about its animals, where its record is afterwards."""

import pytest

from app.domain.drafts import NewStockEvent
from app.domain.records import EntryKind, StockEventKind
from app.services import tanks
from app.services.livestock import animals
from tests.page_checker import CheckedClient
from tests.record import ONE_SCOOP, Record
from tests.web.filling import lines, opened, save, saved_id
from tests.web.test_access import add_tank
from tests.web.visits import fields_of, seen, words_of

URL = "/tank/1/closing"
CLOSE = "/tank/1/close"


def empty(record: Record) -> None:
    with record.database.reading() as session:
        groups = animals.groups(session, 1, now=record.now)
    for group in groups:
        gone = NewStockEvent(what=StockEventKind.LEFT, group_id=group.id, count=group.count)
        record.write(gone)


def is_closed(record: Record) -> bool:
    with record.database.reading() as session:
        return tanks.tank(session, 1).closed_on is not None


def test_animals_that_are_written_there_are_asked_about(
    adult: CheckedClient, record: Record
) -> None:
    page = seen(adult, URL)
    assert (
        "10 harlequin rasbora, 6 peppered cory are still written here: where did they go?" in page
    )
    answer = adult.post(CLOSE, data=opened(adult, URL))
    assert answer.status_code == 422
    assert "These still live here: 10 harlequin rasbora, 6 peppered cory." in words_of(answer.text)
    assert not is_closed(record)


def test_animals_are_not_moved_while_they_are_written_here(
    adult: CheckedClient, record: Record
) -> None:
    still = "Still written here: 10 harlequin rasbora and 6 peppered cory."
    assert still in seen(adult, f"{URL}/animals")
    empty(record)
    assert "Still written here" not in seen(adult, f"{URL}/animals")


def test_a_second_word_closes_it_all_the_same(adult: CheckedClient, record: Record) -> None:
    answer = adult.post(CLOSE, data=opened(adult, URL) | {"anyway": "y"})
    assert answer.status_code == 303
    assert is_closed(record)


def test_each_group_leads_to_the_forms_for_leaving(adult: CheckedClient, record: Record) -> None:
    assert 'href="/tank/1/animals-entry?group=1"' in adult.get(URL).text
    # with no other tank there is nowhere to move to
    assert "/tank/1/animals/1/move" not in adult.get(URL).text
    add_tank(record, "Pool")
    assert 'href="/tank/1/animals/1/move"' in adult.get(URL).text


def test_an_empty_tank_is_closed_and_its_record_stays(adult: CheckedClient, record: Record) -> None:
    record.write(ONE_SCOOP)
    empty(record)
    page = seen(adult, URL)
    assert "where did they go" not in page
    assert adult.post(CLOSE, data=opened(adult, URL)).status_code == 303

    closed = adult.get(URL)
    assert "Brook was closed on Monday 8 February 2027." in words_of(closed.text)
    for address in ("/tank/1/story", "/tank/1/charts", "/tank/1/measurements.csv"):
        assert f'href="{address}"' in closed.text
    assert "Write down:" not in words_of(closed.text)
    assert "Don’t know" not in words_of(closed.text)
    assert "Fed" in seen(adult, "/tank/1/story")
    assert f'href="{URL}"' in adult.get("/tanks").text


def test_it_can_be_opened_again(adult: CheckedClient, record: Record) -> None:
    adult.post(CLOSE, data=opened(adult, URL) | {"anyway": "y"})
    assert adult.post("/tank/1/reopen", data=fields_of(adult.get(URL).text)).status_code == 303
    assert not is_closed(record)
    assert "Closed tanks" not in seen(adult, "/tanks")


@pytest.mark.parametrize(
    ("day", "says"),
    [
        ("2027-02-09", "That day has not come yet."),
        ("", "Enter the last day of the tank."),
        ("soon", "Write the day as year-month-day"),
    ],
)
def test_a_last_day_that_cannot_be_is_told(
    adult: CheckedClient, record: Record, day: str, says: str
) -> None:
    answer = adult.post(CLOSE, data=opened(adult, URL) | {"closed_on": day, "anyway": "y"})
    assert answer.status_code == 422
    assert says in words_of(answer.text)
    assert not is_closed(record)


def test_the_day_is_the_tanks_own(adult: CheckedClient, record: Record) -> None:
    adult.post(CLOSE, data=opened(adult, URL) | {"closed_on": "2027-02-05", "anyway": "y"})
    with record.database.reading() as session:
        assert str(tanks.tank(session, 1).closed_on) == "2027-02-05"


def test_steps_are_ticked_off_as_in_starting(adult: CheckedClient, record: Record) -> None:
    saved_id(save(adult, f"{URL}/homes", note="the neighbor takes all", hands=str(record.otter)))
    assert "Next: Tell everybody who helped." in seen(adult, URL)
    assert lines(record, EntryKind.JOB)[0].title == "Step done: find new homes"
    assert "Find new homes indoors, a grown-up" in seen(adult, "/tank/1/to-do")


def test_helpers_see_no_closed_tank(helper: CheckedClient, record: Record) -> None:
    with record.database.writing() as session:
        tanks.close(session, 1, record.now.date(), now=record.now, though_animals=True)
    assert "Brook" not in seen(helper, "/tanks")


def test_the_measurements_come_as_a_file(adult: CheckedClient) -> None:
    answer = adult.get("/tank/1/measurements.csv")
    assert answer.mimetype == "text/csv"
    assert answer.headers["Content-Disposition"] == "attachment; filename=measurements-1.csv"
    assert adult.get("/tank/99/measurements.csv").status_code == 404
