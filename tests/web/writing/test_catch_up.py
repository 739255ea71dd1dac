"""A week of paper typed in at once: the same guards as everywhere, and all of it or nothing."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from werkzeug.test import TestResponse

from app.clock import FixedClock
from app.domain.records import EntryKind
from tests.page_checker import CheckedClient
from tests.record import MONDAY, ONE_SCOOP, Record
from tests.web.filling import lines, opened
from tests.web.visits import seen, words_of

URL = "/tank/1/catch-up"
# the week that holds the Monday of the tests; without it the page shows the week before
THIS_WEEK = f"{URL}?week=2027-02-08"


def send(
    adult: CheckedClient, values: dict[str, Any], url: str = URL, **changed: Any
) -> TestResponse:
    return adult.post(url, data=values | changed)


def fill(adult: CheckedClient, url: str = URL, **cells: Any) -> TestResponse:
    return send(adult, opened(adult, url), url, **cells)


def count_of(record: Record) -> int:
    return sum(
        len(lines(record, kind))
        for kind in (EntryKind.FEEDING, EntryKind.OBSERVATION, EntryKind.JOB, EntryKind.WATER_TEST)
    )


def test_each_cell_becomes_what_it_would_be_on_its_own_page(
    adult: CheckedClient, record: Record
) -> None:
    answer = fill(
        adult,
        scoops_0="1", temperature_0="24,6", time_0="08:30", hands_0=str(record.otter),
        seen_1="14", note_1="two hide", temperature_2="24.1", water_3="20",
    )  # fmt: skip
    assert answer.status_code == 303

    (meal,) = lines(record, EntryKind.FEEDING)
    assert (meal.hands, meal.readings[0].typed) == ("Otter", "24,6")
    assert meal.happened_at == datetime(2027, 2, 1, 13, 30, tzinfo=UTC)
    (look,) = lines(record, EntryKind.OBSERVATION)
    assert (look.detail.seen, look.detail.note) == (14, "two hide")
    (test,) = lines(record, EntryKind.WATER_TEST)
    assert [r.best for r in test.readings] == [24.1]
    (change,) = lines(record, EntryKind.JOB)
    assert (change.detail.liters_out, change.detail.liters_in) == (20, 20)
    assert "4 entries saved" in seen(adult, "/tank/1/story")


@pytest.mark.parametrize("tile", ["99999", "yes", "-1"])
def test_a_tile_that_the_page_does_not_offer_is_refused(
    adult: CheckedClient, record: Record, tile: str
) -> None:
    answer = fill(adult, scoops_0="1", hands_0=tile)
    assert answer.status_code == 422
    assert "Not saved" in words_of(answer.text)
    assert count_of(record) == 0


def test_saturdays_meal_that_the_teacher_adds_on_monday(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    clock.moment = datetime(2027, 2, 1, 13, 20, tzinfo=UTC)
    values = opened(adult, URL)
    asked = send(adult, values, scoops_5="1", time_5="10:00")
    assert asked.status_code == 422
    assert "No food was planned for Saturday" in words_of(asked.text)
    send(adult, values, scoops_5="1", time_5="10:00", fed_again_5="y")

    (meal,) = lines(record, EntryKind.FEEDING)
    assert meal.happened_at == datetime(2027, 1, 30, 15, 0, tzinfo=UTC)
    story = seen(adult, "/tank/1/story")
    assert "added" in story
    assert "Saturday" in seen(adult, "/tank/1/")


@pytest.mark.parametrize(
    ("cells", "sentence"),
    [
        ({"temperature_1": "77"}, "77 °C would be too hot to touch. Did you mean 77 °F"),
        ({"temperature_1": "warm"}, "with digits only"),
        ({"scoops_1": "0"}, "Enter the scoops from 0.1"),
        ({"seen_1": "40"}, "16 are expected. Is it right?"),
        ({"water_1": "300"}, "The tank holds 85"),
        ({"time_1": "later", "seen_1": "16"}, "Write the time with hours and minutes"),
        ({"hands_1": "999", "seen_1": "16"}, "Not a valid choice"),
    ],
)
def test_one_doubtful_cell_keeps_the_whole_week_on_the_page(
    adult: CheckedClient, record: Record, cells: dict[str, str], sentence: str
) -> None:
    answer = fill(adult, scoops_0="1", temperature_2="24.0", **cells)
    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    assert 'value="24.0"' in answer.text
    assert count_of(record) == 0


def test_an_offer_is_taken_with_one_tap(adult: CheckedClient, record: Record) -> None:
    values = opened(adult, URL)
    send(adult, values, temperature_1="77")
    send(adult, values, temperature_1="77", take="temperature_1~77~°F~")
    (test,) = lines(record, EntryKind.WATER_TEST)
    assert (test.readings[0].typed, test.readings[0].unit) == ("77", "°F")
    assert test.readings[0].best == pytest.approx(25.0)


def test_all_that_is_unusual_is_asked_at_once(adult: CheckedClient, record: Record) -> None:
    values = opened(adult, URL)
    odd = {f"temperature_{row}": "15.0" for row in (0, 1, 2)}
    asked = send(adult, values, **odd)
    assert words_of(asked.text).count("15.0 °C is far from what is usual here") >= 3
    again = {f"temperature_{row}_again": "15.0" for row in (0, 1, 2)}
    assert send(adult, values, **odd, **again).status_code == 303
    assert len(lines(record, EntryKind.WATER_TEST)) == 3


def test_the_same_page_sent_twice_is_one_week(adult: CheckedClient, record: Record) -> None:
    values = opened(adult, URL) | {"scoops_0": "1", "seen_0": "16", "scoops_1": "1"}
    for _ in range(3):
        assert send(adult, values).status_code == 303
    assert count_of(record) == 3

    other = send(adult, values, scoops_2="1")
    assert "saved before, with other values" in words_of(other.text)
    assert count_of(record) == 3


def test_a_day_that_has_a_meal_asks_before_a_second(adult: CheckedClient, record: Record) -> None:
    record.write(ONE_SCOOP, at=MONDAY - timedelta(days=3), by=record.finch)
    page = seen(adult, URL)
    assert "Stands written: fed" in page

    values = opened(adult, URL)
    asked = send(adult, values, scoops_4="1", scoops_3="1")
    assert "Did food go in" in words_of(asked.text)
    assert len(lines(record, EntryKind.FEEDING)) == 1
    assert send(adult, values, scoops_4="1", scoops_3="1", fed_again_4="y").status_code == 303
    assert len(lines(record, EntryKind.FEEDING)) == 3


def test_what_the_page_says_of_its_days(adult: CheckedClient) -> None:
    page = seen(adult, URL)
    assert page.count("Nobody was meant to come") == 2
    # on a Monday nothing of the new week stands on paper yet
    assert "Monday 1 February to Sunday 7 February" in page
    assert "Monday 8 February to Sunday 14 February" in seen(adult, THIS_WEEK)
    # any day of a week opens it, as it stands on the paper
    assert "Monday 25 January to Sunday 31 January" in seen(adult, f"{URL}?week=2027-01-28")
    # neither a week to come nor one that nothing is asked about any more
    assert "Monday 8 February to Sunday 14" in seen(adult, f"{URL}?week=2090-01-01")
    assert "Monday 14 December to Sunday 20" in seen(adult, f"{URL}?week=1990-01-01")
    assert "Monday 1 February to Sunday 7" in seen(adult, f"{URL}?week=soon")
    assert "Nothing is filled in yet" in words_of(fill(adult).text)


def test_on_thursday_the_week_of_the_paper_is_typed_as_far_as_it_goes(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    clock.moment = record.now = MONDAY + timedelta(days=3)
    page = seen(adult, URL)
    assert "Monday 8 February to Sunday 14 February" in page
    assert page.count("Not yet: this day is still to come.") == 3
    typed = opened(adult, URL)
    assert {f"scoops_{row}" in typed for row in (0, 1, 2, 3)} == {True}
    assert {f"scoops_{row}" in typed for row in (4, 5, 6)} == {False}

    assert fill(adult, scoops_0="1", seen_1="16", temperature_3="24.2").status_code == 303
    (meal,) = lines(record, EntryKind.FEEDING)
    assert meal.happened_at == datetime(2027, 2, 8, 17, 0, tzinfo=UTC)
    assert count_of(record) == 3


@pytest.mark.parametrize("cells", [
    {"scoops_0": "1", "time_0": "23:00"},
    {"scoops_3": "1"},
], ids=["later on this day", "a row that is closed"])  # fmt: skip
def test_nothing_is_written_before_it_happened(
    adult: CheckedClient, record: Record, cells: dict[str, str]
) -> None:
    answer = fill(adult, THIS_WEEK, **cells)
    assert answer.status_code == 422
    assert count_of(record) == 0


def test_the_weeks_before_and_after_are_one_tap_away(adult: CheckedClient) -> None:
    page = adult.get(URL).text
    assert f'href="{URL}?week=2027-01-31"' in page
    assert f'href="{URL}?week=2027-02-08"' in page
    assert "The week after" not in adult.get(THIS_WEEK).text


def test_a_pupil_does_not_open_it(helper: CheckedClient) -> None:
    assert helper.get(URL).status_code == 403
