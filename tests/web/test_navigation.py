"""The frame around every page: where we are, where one can go."""

import re
from datetime import timedelta

import pytest

from app.web.filters import ago, clock_parts, place, short_day, span
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.test_access import add_tank
from tests.web.visits import seen


def current_of(html: str) -> list[str]:
    return re.findall(r'aria-current="page">([^<]+)</a>', html)


@pytest.mark.parametrize(
    ("url", "place"),
    [
        ("/tank/1/", "Today"),
        ("/tank/1/feed", "Write down"),
        ("/tank/1/charts/ph", "Charts"),
        ("/words", "Words"),
        ("/numbers", "Numbers"),
        ("/tank/1/to-do", "To do"),
        ("/tank/1/story", "Story"),
        ("/tanks", "All tanks"),
        ("/device", "This device"),
        ("/settings", "Settings"),
        ("/tank/1/fish-and-plants", "Fish and plants"),
        ("/tank/1/plants", "Fish and plants"),
        ("/tank/1/before-buying", "Fish and plants"),
    ],
)
def test_the_menu_marks_the_page_that_is_open(adult: CheckedClient, url: str, place: str) -> None:
    assert set(current_of(adult.get(url).text)) == {place}


def test_the_menu_stays_with_the_tank_that_was_open(adult: CheckedClient, record: Record) -> None:
    pool = add_tank(record, "Pool")
    adult.get(f"/tank/{pool}/")
    assert f'href="/tank/{pool}/"' in adult.get("/words").text
    adult.get("/tank/1/")
    assert 'href="/tank/1/"' in adult.get("/words").text


def test_the_menu_leads_to_the_first_tank_by_name_before_any_was_open(
    adult: CheckedClient, record: Record
) -> None:
    add_tank(record, "Zander")
    assert f'href="/tank/{record.tank_id}/"' in adult.get("/words").text
    first = add_tank(record, "Aspen")
    assert f'href="/tank/{first}/"' in adult.get("/words").text


def test_the_foot_names_the_zone_of_the_tank(adult: CheckedClient) -> None:
    assert "times are the tank’s own (New York)" in seen(adult, "/tank/1/")


def test_moments_are_told_on_the_tanks_clock() -> None:
    assert clock_parts(MONDAY, "America/New_York") == ("8:41", "am")
    assert clock_parts(MONDAY, "Asia/Tokyo") == ("10:41", "pm")
    assert short_day(MONDAY.date()) == "Mon 8 Feb"
    assert place("America/New_York") == "New York"


def test_ages_are_as_exact_as_they_help() -> None:
    said = [
        span(timedelta(minutes=3)), span(timedelta(days=2, hours=16, minutes=55)),
        span(timedelta(days=3)), ago(MONDAY, MONDAY + timedelta(seconds=59)),
        ago(MONDAY, MONDAY + timedelta(seconds=60)),
    ]  # fmt: skip
    assert [text.replace("\u00a0", " ") for text in said] == [
        "3 minutes", "2 days 16 h 55 min", "3 days", "just now", "1 minute ago",
    ]  # fmt: skip
