"""A logger's file through the import page: looked at first, saved whole or not at all."""

import io

import pytest
from sqlalchemy import func, select
from werkzeug.test import TestResponse

from app.storage.models.water import Reading
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import form_on, opened
from tests.web.visits import words_of

URL = "/tank/1/bring-in"
GOOD = """Date time,Temperature (°F)
2027-02-01 10:00,77.0
2027-02-01 11:00,78.8
2027-02-01 13:00,75.2
"""


def hand_in(client: CheckedClient, text: str, **changed: str) -> TestResponse:
    form = opened(client, URL) | {"clock": "tank"} | changed
    form["file"] = (io.BytesIO(text.encode()), "logger.csv")
    return client.post(URL, data=form, content_type="multipart/form-data")


def readings(record: Record) -> int:
    with record.database.reading() as session:
        return session.scalar(select(func.count(Reading.id))) or 0


def test_it_is_looked_at_and_then_saved(adult: CheckedClient, record: Record) -> None:
    looked = hand_in(adult, GOOD)

    # 77.0, 78.8 and 75.2 °F are 25, 26 and 24 °C (exact definition)
    assert looked.status_code == 200
    shown = words_of(looked.text)
    assert "Lowest 24.0 °C" in shown
    assert "Mean 25.0 °C" in shown
    assert "Highest 26.0 °C" in shown
    assert readings(record) == 0

    answer = adult.post(URL, data=form_on(looked.text) | {"save": "yes"})
    assert answer.status_code == 303
    assert readings(record) == 3
    assert "3 readings saved." in words_of(adult.get(answer.location).text)

    again = adult.post(URL, data=form_on(looked.text) | {"save": "yes"})
    assert "0 readings saved, 3 stood here already." in words_of(adult.get(again.location).text)
    assert readings(record) == 3


def test_what_the_file_does_not_say_is_asked(adult: CheckedClient, record: Record) -> None:
    asked = hand_in(adult, "time,temp\n2027-02-01 10:00,25.0\n", clock="")

    assert asked.status_code == 422
    assert "In which unit does the logger measure?" in words_of(asked.text)
    assert "On which clock does the logger run?" in words_of(asked.text)

    told = form_on(asked.text) | {"unit": "°C", "clock": "fixed"}
    assert adult.post(URL, data=told).status_code == 422
    looked = adult.post(URL, data=told | {"offset": "-05:00"})
    assert looked.status_code == 200
    assert "Save 1 reading<" in looked.text


def test_the_file_is_kept_while_another_field_asks(adult: CheckedClient, record: Record) -> None:
    asked = hand_in(adult, GOOD, clock="fixed")

    assert asked.status_code == 422
    assert "Enter the offset" in words_of(asked.text)
    assert "It is read already." in words_of(asked.text)
    looked = adult.post(URL, data=form_on(asked.text) | {"offset": "-05:00"})
    assert "Save 3 readings" in looked.text


def test_a_file_that_stands_here_already_says_so_before_it_is_saved(
    adult: CheckedClient, record: Record
) -> None:
    adult.post(URL, data=form_on(hand_in(adult, GOOD).text) | {"save": "yes"})

    same = words_of(hand_in(adult, GOOD).text)
    assert "Stand here already 3 readings" in same
    assert "There is nothing new in this file." in same

    # an hour further west 10:00 becomes 11:00, where 26 °C stands and not 25
    moved = hand_in(adult, GOOD, clock="fixed", offset="-06:00")
    shown = words_of(moved.text)
    assert "1 of these moments has another value here." in shown
    assert "take that import back first" in shown
    assert "Save 2 readings" in shown
    answer = adult.post(URL, data=form_on(moved.text) | {"save": "yes"})
    told = words_of(adult.get(answer.location).text)
    assert "1 stood here already, 1 of them with another value, which stays." in told


@pytest.mark.parametrize(
    "text", ["", "no table at all", "Date time,Temperature (°F)\n2027-02-01 10:00,warm\n"]
)
def test_bad_files_bring_nothing_in(adult: CheckedClient, record: Record, text: str) -> None:
    answer = hand_in(adult, text)

    assert answer.status_code == 422
    adult.post(URL, data=form_on(answer.text) | {"save": "yes"})
    assert readings(record) == 0


def test_bad_rows_are_named_by_line(adult: CheckedClient, record: Record) -> None:
    answer = hand_in(adult, GOOD + "2027-02-01 14:00,warm\n")

    assert answer.status_code == 422
    assert "Line 5:" in words_of(answer.text)


def test_a_file_has_to_be_chosen(adult: CheckedClient) -> None:
    answer = adult.post(URL, data=opened(adult, URL))

    assert answer.status_code == 422
    assert "Choose a file." in words_of(answer.text)


def test_a_logger_with_a_clock_of_another_year_is_seen_before_it_is_saved(
    adult: CheckedClient,
) -> None:
    shown = words_of(hand_in(adult, GOOD.replace("2027-02-01", "2019-02-01")).text)

    assert "First 2019-02-01, 1" in shown
    assert "Older than this tank It was started on 202" in shown
    assert "Older than" not in words_of(hand_in(adult, GOOD).text)
