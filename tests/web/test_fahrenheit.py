"""A household whose thermometer reads °F: it types and reads °F wherever warmth is named.

By the definition of the scale 23 °C are 73.4 °F and 16 to 20 °C are 60.8 to 68 °F; a difference
of 2 °C is one of 3.6 °F, without the 32 of the scale.
"""

import pytest

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.services import own_species, sites
from app.services.sites import FIRST
from tests.page_checker import CheckedClient
from tests.record import ZONE, Record, reading
from tests.web.filling import opened, save
from tests.web.visits import seen, words_of

OWN = "/own-animals"
READ = {
    "common_name": "Anna’s minnow",
    "scientific_name": "Minno annae",
    "source": "A book of minnows, page 12",
    "temperature_low": "60.8",
    "temperature_high": "68",
}


@pytest.fixture
def household(adult: CheckedClient, record: Record) -> CheckedClient:
    draft = sites.SiteDraft(name="Hill School", zone=ZONE, fahrenheit=True, us_gallons=True)
    with record.database.writing() as session:
        sites.set_site(session, draft)
    return adult


def test_an_animal_of_its_own_list_is_typed_and_read_back_in_fahrenheit(
    household: CheckedClient, record: Record
) -> None:
    assert save(household, OWN, **READ).status_code == 303
    with record.database.reading() as session:
        kept = own_species.own_species(session, FIRST)[0]
    assert kept.temperature_c == pytest.approx((16.0, 20.0))
    form = opened(household, f"{OWN}/{kept.id}")
    assert (form["temperature_low"], form["temperature_high"]) == ("60.8", "68")


def test_a_number_that_no_tank_has_is_refused_in_fahrenheit(household: CheckedClient) -> None:
    answer = save(household, OWN, **(READ | {"temperature_high": "168"}))
    assert answer.status_code == 422
    assert "Enter the highest temperature in °F from 32 to 113." in words_of(answer.text)
    assert "60.8" in answer.text


def test_the_card_of_a_cold_tank_names_its_limits_in_both_scales(
    household: CheckedClient, record: Record
) -> None:
    record.write(NewTest(), reading(Quantity.TEMPERATURE, 22.0))
    card = seen(household, "/tank/1/to-do/warmth")
    assert "General range from: 73.4 °F (23 °C)" in card
    assert "Act from so far outside: 3.6 °F (2 °C)" in card


def test_the_numbers_stand_in_both_scales(household: CheckedClient) -> None:
    page = seen(household, "/numbers/of/water")
    assert "General low 73.4 °F (23 °C)" in page
    assert "Act outside 3.6 °F (2 °C)" in page
    assert "General low 73.4 °F (23 °C)" in seen(household, "/numbers/sources")


def test_a_household_that_reads_celsius_is_told_celsius_alone(adult: CheckedClient) -> None:
    page = seen(adult, "/numbers/of/water")
    assert "General low 23 °C" in page
    assert "Act outside 2 °C" in page
    assert "°F" not in page


@pytest.mark.parametrize(
    ("url", "words"),
    [
        # the list says 20 to 26 °C, in whole degrees as books have them
        ("/numbers/animals?name=neon", "68–79 °F"),
        ("/tank/1/before-buying?new_paracheirodon-innesi=8", "68 to 79 °F"),
    ],
)
def test_ranges_of_animals_are_in_fahrenheit(
    household: CheckedClient, url: str, words: str
) -> None:
    assert words in seen(household, url)
