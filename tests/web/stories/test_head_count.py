"""Sixteen are expected and three are not seen: nobody is dead until a grown-up says so."""

import pytest

from tests.page_checker import CheckedClient
from tests.web.stories.browsing import Page
from tests.web.stories.conftest import Place

LOOK_FOR_3 = "Look for 3 fish"


def count(place: Place, device: CheckedClient, day: str, seen: int) -> Page:
    place.at(f"2027-02-{day} 8:45")
    return place.open(device, "look").press(
        "Save", seen=str(seen), temperature="24.6", hands=str(place.record.otter)
    )


@pytest.fixture
def device(place: Place) -> CheckedClient:
    """A device in the hands of the class."""
    return place.class_device()


@pytest.fixture
def thursday(place: Place, device: CheckedClient) -> Page:
    """16 on Monday, then 13 on Tuesday, Wednesday and Thursday."""
    assert LOOK_FOR_3 not in count(place, device, "08", 16).words
    assert LOOK_FOR_3 not in count(place, device, "09", 13).words
    assert LOOK_FOR_3 not in count(place, device, "10", 13).words
    return count(place, device, "11", 13)


def test_after_three_short_counts_somebody_looks_for_them(place: Place, thursday: Page) -> None:
    assert "Look for 3 fish. Look behind things." in thursday.words
    words = place.open(place.adult(), "to-do").words
    assert LOOK_FOR_3 in words
    assert "Behind the filter, in the plants" in words
    assert "16 − 13 = 3" in words


def test_nobody_counts_as_dead(place: Place, thursday: Page) -> None:
    words = place.open(place.adult(), "story").words
    assert "died" not in words
    assert "Fish seen 13 of 16" in thursday.words


def test_a_full_count_ends_it(place: Place, device: CheckedClient, thursday: Page) -> None:
    assert LOOK_FOR_3 not in count(place, device, "12", 16).words


def died(place: Place, adult: CheckedClient) -> Page:
    page = place.open(adult, "animals-entry")
    group = next(c.value for c in page.form().controls if c.name == "group")
    return page.press("Save", group=group, what="died", count="1")


def test_one_found_dead_is_one_fewer_expected(place: Place, thursday: Page) -> None:
    adult = place.adult()
    page = died(place, adult)
    assert "1 harlequin rasbora died" in page.words
    assert "We expect 15." in place.open(adult, "look").words
    words = place.open(adult, "to-do").words
    assert "Look for 2 fish" in words
    assert "Test ammonia, and count the others" in words


def test_helpers_cannot_write_a_death(place: Place, device: CheckedClient) -> None:
    answer = device.get(place.url("animals-entry"))
    assert answer.status_code == 403
    assert "grown-up in charge" in answer.text


def test_more_than_expected_is_asked_and_then_kept(
    place: Place, device: CheckedClient, thursday: Page
) -> None:
    died(place, place.adult())
    page = count(place, device, "12", 17)
    assert page.status == 422
    assert "More than the 15 we expect! Babies, or counted twice?" in page.words
    saved = page.press("Save", sure="y")
    assert "17 of 15 seen" in saved.words
    assert "Babies, or counted twice?" in saved.words


def test_a_count_as_expected_is_not_asked_about(place: Place, device: CheckedClient) -> None:
    assert count(place, device, "08", 16).status == 200


@pytest.mark.parametrize("typed", ["-1", "2.5", "many", "10001"])
def test_what_is_no_count_is_refused(place: Place, device: CheckedClient, typed: str) -> None:
    page = place.open(device, "look").press("Save", seen=typed, hands=str(place.record.otter))
    assert page.status == 422
    assert page.form().value("seen") == typed
