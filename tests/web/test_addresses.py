"""Numbers in addresses: what no row can have leads to the page that says so, and never breaks."""

import pytest
from flask import Flask, url_for

from app.web.addresses import numbered
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, Record
from tests.web.visits import seen

# the integers of PostgreSQL have 32 bits (PostgreSQL, Numeric Types), those of SQLite 64 (SQLite,
# Datatypes In SQLite): the largest of each, and the first that is none
LARGEST = "2147483647"
NUMBERS = [
    LARGEST,
    "2147483648",
    "9223372036854775807",
    "9223372036854775808",
    "9" * 20,
    "1" * 5000,
]
NUMBERS_IN_PATHS = [
    "/tank/{}/", "/tank/{}/to-do", "/tank/{}/look", "/tank/1/ahead/predictions/{}",
    "/tank/1/ahead/forecasts/{}", "/tank/1/story/{}", "/tank/like?from={}",
]  # fmt: skip


@pytest.mark.parametrize("number", NUMBERS, ids=lambda n: f"{len(n)} digits, {n[-1]}")
@pytest.mark.parametrize("path", NUMBERS_IN_PATHS)
def test_a_number_that_nothing_has_is_no_page(adult: CheckedClient, path: str, number: str) -> None:
    assert adult.get(path.format(number)).status_code == 404


@pytest.mark.parametrize("number", ["", "x", "-1", "\u0661", "1.0"])
def test_what_is_no_number_is_no_earlier_tank(adult: CheckedClient, number: str) -> None:
    assert adult.get(f"/tank/like?from={number}").status_code == 404


@pytest.mark.parametrize("number", [*NUMBERS, "", "x", "-1"], ids=lambda n: f"{n[:3]} {len(n)}")
def test_a_page_opens_whatever_was_just_saved(
    adult: CheckedClient, record: Record, number: str
) -> None:
    saved = record.write(ALL_FINE)
    assert "Saved." in seen(adult, f"/tank/1/?saved={saved.entry_id}")
    assert "Saved." not in seen(adult, f"/tank/1/?saved={number}")


@pytest.mark.parametrize("number", [*NUMBERS[1:], "x", "-1"], ids=lambda n: f"{n[:3]} {len(n)}")
def test_a_page_of_the_story_begins_after_an_entry_that_can_be(
    adult: CheckedClient, number: str
) -> None:
    before = "/tank/1/story?before=2027-02-08T08:00:00.000000~{}"
    assert adult.get(before.format(5)).status_code == 200
    assert adult.get(before.format(number)).status_code == 404


@pytest.mark.parametrize("year", ["0001", "9999"])
def test_a_page_of_the_story_may_begin_at_any_time(adult: CheckedClient, year: str) -> None:
    before = f"/tank/1/story?before={year}-12-31T23:59:59.000000~5"
    assert adult.get(before).status_code == 200


@pytest.mark.parametrize("number", [1, 21, int(LARGEST)])
def test_an_address_in_a_list_is_that_of_the_page(app: Flask, number: int) -> None:
    with app.test_request_context():
        to_entry = numbered("story.entry", "entry_id", tank_id=int(LARGEST))
        assert to_entry(number) == url_for("story.entry", tank_id=LARGEST, entry_id=number)
