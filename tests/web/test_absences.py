"""A break comes: the task that asks who looks after the tank, and what ends it."""

from datetime import date

import pytest

from app.services import sites
from app.services.school import school_days
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.visits import fields_of, seen, words_of

URL = "/tank/1/breaks"
TASK = "Arrange who looks after the tank in the break"


@pytest.fixture(autouse=True)
def a_break_comes(record: Record) -> None:
    with record.database.writing() as session:
        school_days.add(session, sites.FIRST, date(2027, 2, 15), date(2027, 2, 26), "Winter break")


def test_the_task_leads_to_the_page_and_naming_somebody_ends_it(adult: CheckedClient) -> None:
    assert TASK in seen(adult, "/tank/1/to-do")
    assert URL in adult.get("/tank/1/to-do").text
    assert "Nobody is named yet" in seen(adult, URL)
    form = fields_of(adult.get(URL).text) | {"who": "The neighbor, every third day"}
    assert adult.post(URL, data=form).status_code == 303
    assert "The neighbor, every third day" in seen(adult, URL)
    assert TASK not in seen(adult, "/tank/1/to-do")


def test_without_a_name_nothing_is_written(adult: CheckedClient) -> None:
    form = fields_of(adult.get(URL).text) | {"who": "  "}
    answer = adult.post(URL, data=form)
    assert answer.status_code == 422
    assert "Write who comes, and on which days." in words_of(answer.text)
    assert TASK in seen(adult, "/tank/1/to-do")


def test_pressing_twice_writes_once(adult: CheckedClient) -> None:
    form = fields_of(adult.get(URL).text) | {"who": "Aunt on Sundays"}
    assert adult.post(URL, data=form).status_code == 303
    assert adult.post(URL, data=form).status_code == 303
    assert seen(adult, "/tank/1/story?kind=jobs").count("Aunt on Sundays") == 1


def test_a_break_that_is_gone_is_not_found(adult: CheckedClient) -> None:
    form = fields_of(adult.get(URL).text) | {"who": "Aunt", "first_day": "2027-05-01"}
    assert adult.post(URL, data=form).status_code == 404


def test_helpers_have_no_such_page(helper: CheckedClient) -> None:
    assert helper.get(URL).status_code == 403
