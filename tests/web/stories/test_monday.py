"""Monday morning: what is known since Friday, what is not, and what to do first."""

import pytest

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from tests.record import ALL_FINE, reading
from tests.web.stories.conftest import Place

READINGS = (
    reading(Quantity.PH, 7.4),
    reading(Quantity.AMMONIA, 0.0),
    reading(Quantity.NITRITE, 0.0),
    reading(Quantity.NITRATE, 12.0),
)


@pytest.fixture
def monday(place: Place) -> Place:
    """Monday, 15 February 2027, 8:05; the last entry is of Friday, 3:10 pm."""
    for day in ("08", "09", "10", "11", "12"):
        place.at(f"2027-02-{day} 8:40")
        page = place.open(place.adult(), "feed").press("Save", hands=str(place.record.otter))
        assert page.status == 200
    place.at("2027-02-12 15:10")
    place.record.write(NewTest(), *READINGS)
    place.record.write(ALL_FINE, reading(Quantity.TEMPERATURE, 24.8))
    place.at("2027-02-15 8:05")
    return place


def test_nobody_has_looked_since_friday(monday: Place) -> None:
    words = monday.open(monday.adult()).words
    assert "Last looked at Friday 3:10 pm, 2 days 16 h 55 min ago." in words
    assert "Don’t know Nobody has looked yet." in words
    assert "Steady" not in words


def test_nobody_is_asked_for_the_weekends_meals(monday: Place) -> None:
    words = monday.open(monday.adult(), "to-do").words
    assert "No meal is written" not in words
    assert "missed" not in words.lower()
    assert "Nobody was meant to come on the weekend." in words


def test_the_first_task_is_to_look_and_count(monday: Place) -> None:
    words = monday.open(monday.adult()).words
    assert words.index("Look and count") < words.index("Why?")
    helper = monday.open(monday.class_device()).words
    assert "Look at all the fish. Count them." in helper


def test_the_door_view_says_the_same_without_buttons(monday: Place) -> None:
    page = monday.open(monday.adult(), "door")
    assert "Don’t know" in page.words
    assert "Look at all the fish. Count them." in page.words
    assert not page.forms


def test_after_a_full_count_and_a_temperature_it_is_steady(monday: Place) -> None:
    adult = monday.adult()
    page = monday.open(adult, "look").press(
        "Save", seen="16", temperature="24.6", breathing_calm="yes", lid_closed="yes", plug_on="yes"
    )
    assert "Steady All calm." in page.words


def test_a_temperature_alone_is_no_look(monday: Place) -> None:
    adult = monday.adult()
    page = monday.open(adult, "test").press("Save", temperature="24.6")
    assert "Steady" not in page.words
    assert "Don’t know Nobody has looked yet." in page.words


def test_with_a_nitrate_past_its_shelf_life_it_is_watch_at_best(monday: Place) -> None:
    monday.at("2027-03-01 8:05")
    monday.record.write(NewTest(), *READINGS[:3], at=monday.record.now)
    adult = monday.adult()
    page = monday.open(adult, "look").press("Save", seen="16", temperature="24.6")
    assert "Steady All calm." not in page.words
    assert "Don’t know: nitrate." in page.words
    gauge = page.words.split("Readings")[1].split("Nitrate 12 mg/L")[1]
    assert "It kept 14 days. Now: don’t know." in gauge[:150]
