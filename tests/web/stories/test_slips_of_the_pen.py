"""Numbers that cannot be are refused with the likely value; unusual ones are measured once more."""

from decimal import Decimal

import pytest

from tests.web.stories.browsing import Page
from tests.web.stories.conftest import Place

OUTSIDE_A_TANK = (4.0, 10.0)


def typed(place: Place, page: str = "test", **values: str) -> Page:
    return place.open(place.adult(), page).press("Save", **values)


def story(place: Place) -> str:
    return place.open(place.adult(), "story?kind=water").words.split("Saturday")[0]


def test_fahrenheit_in_a_celsius_field_is_held_and_one_tap_accepts_the_offer(place: Place) -> None:
    page = typed(place, temperature="77")
    assert page.status == 422
    assert "77 °C would be too hot to touch. Did you mean 77 °F = 25.0 °C?" in page.words
    assert "Water test" not in story(place)
    saved = page.press("Yes, 77 °F = 25.0 °C")
    assert "Temperature 25.0 °C" in saved.words
    assert "Temperature as typed 77 °F" in saved.follow("Entry").words


def test_celsius_in_a_fahrenheit_field_is_offered_back(place: Place) -> None:
    page = typed(place, temperature="24.9", temperature_unit="°F|")
    assert page.status == 422
    assert "Did you mean 24.9 °C?" in page.words
    saved = page.press("Yes, 24.9 °C")
    assert "Temperature 24.9 °C" in saved.words
    assert "Temperature as typed 24.9 °C" in saved.follow("Entry").words


def test_the_same_slip_beside_a_meal(place: Place) -> None:
    page = typed(place, "feed", temperature="77")
    assert "Did you mean 77 °F = 25.0 °C?" in page.words
    assert "NOT FED" in place.open(place.adult()).words
    saved = page.press("Yes, 77 °F = 25.0 °C")
    assert "Fed, 1 scoop (0.12 g) · Temperature 25.0 °C" in saved.words


def test_a_cold_tank_is_measured_again_and_then_stored_and_pressing(place: Place) -> None:
    page = typed(place, temperature="15.0")
    assert page.status == 422
    assert "15.0 °C is far from what is usual here. Measure once more?" in page.words
    assert "Water test" not in story(place)
    saved = page.press("Save", temperature_again="15.0")
    assert saved.status == 200
    assert "15.0 °C" in saved.words
    # under 18 °C whatever the range: more cautious than "Act"
    assert "Act now Do the first step at once." in saved.words


def test_two_different_measurements_are_both_kept_with_their_middle(place: Place) -> None:
    page = typed(place, temperature="15.0").press("Save", temperature_again="16.0")
    assert "Temperature 15.5 °C, could be 15.0 °C to 16.0 °C" in page.words


@pytest.mark.parametrize(("slip", "meant"), [("74", "7.4"), ("0.74", "7.4"), ("68", "6.8")])
def test_a_lost_point_in_ph_is_refused_and_offered(place: Place, slip: str, meant: str) -> None:
    page = typed(place, ph=slip)
    assert page.status == 422
    assert f"Did you mean {meant}?" in page.words
    assert f"pH {meant}" in page.press(f"Yes, {meant}").words


def test_a_decimal_comma_is_a_point(place: Place) -> None:
    assert "pH 7.4" in typed(place, ph="7,4").words
    assert "Temperature 24.9 °C" in typed(place, "look", temperature="24,9").words


def test_an_impossible_ph_gets_no_impossible_offer(place: Place) -> None:
    page = typed(place, ph="14.2")
    assert page.status == 422
    assert "14.2 is higher than any tank and any kit can show (10 at most)." in page.words
    offers = [label for label in page.labels() if label.startswith("Yes")]
    assert all(
        OUTSIDE_A_TANK[0] <= Decimal(label.split()[1]) <= OUTSIDE_A_TANK[1] for label in offers
    )
    assert "Water test" not in story(place)


def test_a_high_ph_is_accepted_after_a_second_measurement(place: Place) -> None:
    page = typed(place, ph="9.1")
    assert page.status == 422
    assert "9.1 is far from what is usual here. Measure once more?" in page.words
    saved = page.press("Save", ph_again="9.1")
    assert "pH 9.1" in saved.words


def test_an_empty_field_is_not_zero(place: Place) -> None:
    page = typed(place, ph="7.4", ammonia="")
    assert "Ammonia" not in page.words.split("Saved.")[1].split("NOT FED")[0]
    page = typed(place, ph="7.4", ammonia="0")
    assert "Ammonia (total) 0.00 mg/L (as N)" in page.words


def test_nothing_tested_is_nothing_saved(place: Place) -> None:
    page = typed(place)
    assert page.status == 422
    assert "Test at least one thing, or leave this page." in page.words


@pytest.mark.parametrize("words", ["warm", "7.4.4", "1e1", "seven", "<7"])
def test_what_is_no_number_is_refused_in_words(place: Place, words: str) -> None:
    page = typed(place, ph=words)
    assert page.status == 422
    assert "Write pH with digits only, such as 7.5." in page.words
    assert page.form().value("ph") == words


def test_a_number_that_is_asked_for_suggests_no_value(place: Place) -> None:
    page = typed(place, nitrate="ten")
    assert "Write nitrate with digits only, such as 7.5." in page.words
