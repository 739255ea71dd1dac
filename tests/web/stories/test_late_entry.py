"""Written later: it counts from when it happened, and says when it was typed in."""

import re

import pytest

from tests.web.stories.browsing import Page, send
from tests.web.stories.conftest import Place


def fed_late(place: Place, picked: str, **more: str) -> Page:
    form = {"when": "pick", "picked": picked, "hands": str(place.record.finch)} | more
    return place.open(place.adult(), "feed").press("Save", **form)


@pytest.fixture
def saturday_meal(place: Place) -> Page:
    """On Monday at 8:20 somebody adds that Finch fed on Saturday at 10:00."""
    place.at("2027-02-08 8:20")
    page = fed_late(place, "2027-02-06T10:00", temperature="24.2")
    assert "No food was planned for Saturday. Did food go in?" in page.words
    return page.press("Yes, food went in")


def test_the_story_says_when_it_was_added(place: Place, saturday_meal: Page) -> None:
    assert saturday_meal.status == 200
    words = place.open(place.adult(), "story?kind=food").words
    row = words.split("Saturday 6 February")[1]
    assert "10:00" in row[:60]
    assert "Finch, added Mon 8:20 am" in row[:160]


def test_it_is_the_last_meal_now(place: Place, saturday_meal: Page) -> None:
    assert "Last fed Saturday 10:00 am by Finch." in saturday_meal.words
    assert "NOT FED YET TODAY" in saturday_meal.words


def test_its_temperature_stands_on_saturday_in_the_chart(place: Place, saturday_meal: Page) -> None:
    assert saturday_meal.status == 200
    words = place.open(place.adult(), "charts/temperature?days=7").words
    table = words.split("The same readings in words.")[1]
    assert re.search(r"Sat 6 Feb 10:00( am)? 24\.2 ", table), table


@pytest.mark.parametrize("picked", ["2027-02-09T08:00", "2027-02-08T08:47", "2028-02-08T08:00"])
def test_a_time_that_has_not_come_is_refused(place: Place, picked: str) -> None:
    page = fed_late(place, picked)
    assert page.status == 422
    assert "That time has not come yet. Pick a time up to now." in page.words
    assert page.form().value("picked") == picked


def test_a_clock_that_goes_a_little_fast_is_forgiven(place: Place) -> None:
    page = fed_late(place, "2027-02-08T08:46")
    assert page.status == 200
    assert "Saved." in page.words


def test_yesterday_and_this_morning_in_words(place: Place) -> None:
    place.at("2027-02-10 15:00")
    adult = place.adult()
    form = {"hands": str(place.record.finch)}
    morning = place.open(adult, "feed").press("Save", when="morning", **form)
    assert "FED 8:00, Finch" in morning.words
    place.open(adult, "feed").press("Save", when="yesterday", **form)
    words = place.open(adult, "story?kind=food").words
    assert "Tuesday 9 February" in words
    assert "12:00" in words.split("Tuesday 9 February")[1][:60]


def test_this_morning_is_not_offered_before_eight(place: Place) -> None:
    place.at("2027-02-09 7:59")
    assert "morning" not in place.open(place.adult(), "feed").form().offered("when")
    place.at("2027-02-09 8:00")
    assert "morning" in place.open(place.adult(), "feed").form().offered("when")


def test_without_a_picked_time_it_asks(place: Place) -> None:
    page = fed_late(place, "")
    assert page.status == 422
    assert "Pick the day and the time." in page.words


def test_a_form_that_could_not_be_sent_for_half_an_hour_keeps_its_time(place: Place) -> None:
    adult = place.adult()
    form = place.open(adult, "feed").form()
    for name, value in (("when", "pick"), ("picked", "2027-02-08T08:41"), ("temperature", "24.9")):
        form.put(name, value)
    place.at("2027-02-08 9:10")
    pages = [send(adult, form) for _ in range(3)]
    assert len({page.answer.request.args["saved"] for page in pages}) == 1
    assert "FED 8:41" in pages[-1].words
    entry = pages[-1].follow("Entry").words
    assert "It happened today 8:41 am" in entry
    assert "Written down today 9:10 am" in entry
