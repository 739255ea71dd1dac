"""Nights on which the clocks change: days are counted on the wall, hours by what really passed.

The changes are those of America/New_York in the IANA time zone database: back on 1 November 2026
and 7 November 2027, forward on 14 March 2027.
"""

from collections.abc import Callable

import pytest

from tests.web.stories.browsing import Page
from tests.web.stories.conftest import Place

NewHome = Callable[[str], Place]


def feed(place: Place, moment: str, **values: str) -> Page:
    place.at(moment)
    page = place.open(place.adult(), "feed").press("Save", hands=str(place.record.otter), **values)
    assert page.status == 200
    return page


def test_back_one_meal_on_each_day_25_hours_apart(new_home: NewHome) -> None:
    home = new_home("2027-11-06 8:00")
    feed(home, "2027-11-06 8:30")
    page = feed(home, "2027-11-07 8:30")
    assert "Did food go in" not in page.words
    assert "DOUBLE" not in page.words
    words = home.open(home.adult(), "story?kind=food").words
    sunday, saturday = words.index("Sunday 7 November"), words.index("Saturday 6 November")
    assert "8:30" in words[sunday:saturday]
    assert "8:30" in words[saturday : saturday + 60]


def test_back_the_question_names_the_hours_that_passed(new_home: NewHome) -> None:
    home = new_home("2027-11-06 8:00")
    feed(home, "2027-11-07 0:30")
    home.at("2027-11-07 8:30")
    page = home.open(home.adult(), "feed").press("Save", hands=str(home.record.finch))
    # from half past midnight to half past eight the wall shows 8 hours and 9 hours passed
    assert "Otter fed 9 h ago. Did food go in again?" in page.words


def test_back_the_age_of_a_look_is_25_hours(new_home: NewHome) -> None:
    home = new_home("2027-11-06 8:00")
    home.at("2027-11-06 8:30")
    looked = home.open(home.adult(), "look").press("Save", seen="16", temperature="24.6")
    assert looked.status == 200
    home.at("2027-11-07 8:30")
    assert "Last looked at yesterday 8:30 am, 1 day 1 h ago." in home.open(home.adult()).words


def test_forward_the_age_of_a_look_is_23_hours(new_home: NewHome) -> None:
    home = new_home("2027-03-13 8:00")
    home.at("2027-03-13 8:30")
    looked = home.open(home.adult(), "look").press("Save", seen="16", temperature="24.6")
    assert looked.status == 200
    home.at("2027-03-14 8:30")
    assert "Last looked at yesterday 8:30 am, 23 h ago." in home.open(home.adult()).words


@pytest.mark.parametrize(
    ("before", "morning"),
    [("2027-11-06 8:30", "2027-11-07 8:30"), ("2027-03-13 8:30", "2027-03-14 8:30")],
)
def test_neither_a_gap_nor_too_soon_is_found(new_home: NewHome, before: str, morning: str) -> None:
    home = new_home(before)
    feed(home, before)
    page = feed(home, morning)
    assert "FED 8:30, Otter" in page.words
    words = home.open(home.adult(), "to-do").words
    assert "No meal is written" not in words
    assert "Food went in twice" not in words


@pytest.mark.parametrize("change", ["2027-11-07", "2027-03-14"])
def test_the_timer_of_the_light_is_asked_about_until_somebody_saw_to_it(
    new_home: NewHome, change: str
) -> None:
    question = "Move the light timer, or keep it?"
    home = new_home("2027-03-13 8:00" if change == "2027-03-14" else "2027-11-06 8:00")
    assert question not in home.open(home.adult(), "to-do").words
    home.at(f"{change} 8:30")
    adult = home.adult()
    page = home.open(adult, "to-do")
    assert question in page.words
    home.open(adult, "job?job=light_timer").press("Save")
    assert question not in home.open(adult, "to-do").words


def test_back_half_past_one_came_twice_and_both_stay_in_order(new_home: NewHome) -> None:
    home = new_home("2027-11-07 9:00")
    adult = home.adult()
    picked = {"when": "pick", "picked": "2027-11-07T01:30"}
    page = home.open(adult, "test").press("Save", temperature="24.9", **picked)
    assert page.status == 422
    assert "The clocks went back, so this time came twice. Which one?" in page.words
    first = page.press("Save", turn="first")
    assert "Temperature 24.9 °C" in first.words
    page = home.open(adult, "test").press("Save", temperature="24.7", **picked)
    second = page.press("Save", turn="second")
    assert "Temperature 24.7 °C" in second.words
    words = home.open(adult, "story?kind=water").words
    assert words.index("24.7 °C") < words.index("24.9 °C")  # newest first
    assert words.count("1:30 am") == 2
    # the later one is the one that counts now
    assert "Temperature 24.7" in home.open(adult).words


@pytest.mark.parametrize("skipped", ["2027-03-14T02:00", "2027-03-14T02:30", "2027-03-14T02:59"])
def test_forward_a_time_that_did_not_exist_is_asked_again(new_home: NewHome, skipped: str) -> None:
    home = new_home("2027-03-14 9:00")
    page = home.open(home.adult(), "test").press(
        "Save", temperature="24.9", when="pick", picked=skipped
    )
    assert page.status == 422
    clock = skipped[-5:].lstrip("0")
    assert f"The clocks went forward: {clock} did not exist. Pick another time." in page.words
    assert page.form().value("temperature") == "24.9"
    assert "Temperature 24.9 °C" in page.press("Save", picked="2027-03-14T03:00").words
